//go:build unix

package main

import (
	"os"
	"syscall"
)

// stops are the signals that end the program in good order.
var stops = []os.Signal{os.Interrupt, syscall.SIGTERM, syscall.SIGHUP}
