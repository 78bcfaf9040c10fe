//go:build !(linux || darwin || freebsd || netbsd || openbsd || dragonfly)

package talk

import (
	"fmt"
	"os"
)

// lock keeps a second round off a file. What a killed process leaves behind is to be
// removed by hand, and the error says so.
func lock(path string) (release func(), err error) {
	name := lockName(path)
	f, err := os.OpenFile(name, os.O_CREATE|os.O_EXCL, 0o644)
	if os.IsExist(err) {
		return nil, fmt.Errorf("another round writes to %s; go on there, or if none runs, remove %s", path, name)
	}
	if err != nil {
		return nil, err
	}
	f.Close()
	return func() { os.Remove(name) }, nil
}
