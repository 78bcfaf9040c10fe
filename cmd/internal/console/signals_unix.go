//go:build unix

package console

import (
	"os"
	"syscall"
)

// stops are the signals that end the program in good order.
var stops = []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP}
