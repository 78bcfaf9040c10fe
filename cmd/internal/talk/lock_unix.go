//go:build linux || darwin || freebsd || netbsd || openbsd || dragonfly

package talk

import (
	"fmt"
	"os"
	"syscall"
)

// lock keeps a second round off a file. The lock goes with the process, however it
// ends.
func lock(path string) (release func(), err error) {
	name := lockName(path)
	f, err := os.OpenFile(name, os.O_CREATE|os.O_RDWR, 0o644)
	if err != nil {
		return nil, unusable(path, err)
	}
	if err := syscall.Flock(int(f.Fd()), syscall.LOCK_EX|syscall.LOCK_NB); err != nil {
		f.Close()
		return nil, fmt.Errorf("another round writes to %s; go on there, or end it first", path)
	}
	if here, there := statOf(f.Stat()), statOf(os.Stat(name)); !os.SameFile(here, there) { // it was just given up
		f.Close()
		return lock(path)
	}
	return func() { os.Remove(name); f.Close() }, nil
}

// statOf is what is known of a file; nil if that can't be told.
func statOf(info os.FileInfo, err error) os.FileInfo {
	if err != nil {
		return nil
	}
	return info
}
