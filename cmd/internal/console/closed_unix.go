//go:build unix

package console

import (
	"errors"
	"os"
	"syscall"
)

// errClosed says that there is nowhere to write to.
var errClosed = errors.New("standard output is closed, so there is nowhere to write the result; name a file with -o")

// outputClosed is whether the process was started with its standard output
// closed. Go opens the null device for reading and writing in its place; somebody
// who wants no output opens it for writing, or for all three streams alike.
func outputClosed() bool { return stoodIn(os.Stdout) && !stoodIn(os.Stdin) }

func stoodIn(f *os.File) bool {
	null, err := os.Stat(os.DevNull)
	if err != nil {
		return false
	}
	info, err := f.Stat()
	if err != nil || !os.SameFile(info, null) {
		return false
	}
	mode, _, errno := syscall.Syscall(syscall.SYS_FCNTL, f.Fd(), syscall.F_GETFL, 0)
	return errno == 0 && int(mode)&syscall.O_ACCMODE == syscall.O_RDWR
}
