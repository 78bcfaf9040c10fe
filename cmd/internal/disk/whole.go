package disk

import (
	"errors"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// WriteWhole writes a file whole or not at all: to a new file beside it, which
// then takes its name. A file that exists is replaced only with force, and
// through a symbolic link what it points to.
func WriteWhole(path string, data []byte, force bool) error {
	target, exists, err := TargetOf(path)
	if err != nil {
		return err
	}
	if exists && !force {
		return ExistsError(path)
	}
	removeStale(filepath.Dir(target))
	tmp, err := writeBeside(target, data)
	if err != nil {
		return fmt.Errorf("%s can't be written: %w", path, Bare(err))
	}
	defer halfWritten.drop(tmp)
	defer os.Remove(tmp) // there is nothing to remove once it has its name
	if err := rename(tmp, target, force); err != nil {
		if errors.Is(err, fs.ErrExist) {
			return ExistsError(path)
		}
		return fmt.Errorf("%s can't be written: %w", path, Bare(err))
	}
	return nil
}

// ExistsError says that a file exists which is not to be replaced.
func ExistsError(path string) error {
	return fmt.Errorf("%s exists; give another name, or --force to replace it", path)
}

// TargetOf is the file that path means, links followed, and whether it is there.
func TargetOf(path string) (target string, exists bool, err error) {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return path, false, nil
	case err != nil:
		return "", false, fmt.Errorf("%s can't be written: %w", path, Bare(err))
	case info.Mode()&fs.ModeSymlink == 0:
		return path, true, regular(path, info)
	}
	if target, err = filepath.EvalSymlinks(path); err != nil {
		return "", false, fmt.Errorf("%s is a link that leads nowhere: %w", path, Bare(err))
	}
	if info, err = os.Stat(target); err != nil {
		return "", false, fmt.Errorf("%s can't be written: %w", path, Bare(err))
	}
	return target, true, regular(path, info)
}

// SameFile is whether two names mean one file that is there.
func SameFile(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

func regular(path string, info fs.FileInfo) error {
	if info.IsDir() {
		return fmt.Errorf("%s is a folder; give the name of a file", path)
	}
	if !info.Mode().IsRegular() {
		return fmt.Errorf("%s is no ordinary file; give another name", path)
	}
	return nil
}

// writeBeside writes data to a new file in the folder of target, and sees it
// onto the disk.
func writeBeside(target string, data []byte) (name string, err error) {
	f, err := newBeside(target)
	if err != nil {
		return "", err
	}
	defer func() {
		err = errors.Join(err, f.Close())
		if err != nil {
			os.Remove(f.Name())
			halfWritten.drop(f.Name())
		}
	}()
	if info, none := os.Stat(target); none == nil { // what is replaced keeps its mode
		if err = f.Chmod(info.Mode().Perm()); err != nil {
			return "", err
		}
	}
	if _, err = f.Write(data); err != nil {
		return "", err
	}
	return f.Name(), f.Sync()
}

// newBeside makes a file of a name that nothing has, which others may read as
// far as the user's mask lets them.
func newBeside(target string) (*os.File, error) {
	for {
		name := filepath.Join(filepath.Dir(target), fmt.Sprintf("%s%016x", Unfinished, rand.Uint64()))
		halfWritten.add(name)
		f, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
		if err == nil {
			return f, nil
		}
		halfWritten.drop(name)
		if !errors.Is(err, fs.ErrExist) {
			return nil, err
		}
	}
}

// Unfinished begins the name of a file that is being written; 16 hex digits follow.
const Unfinished = ".lostair-"

// staleAfter is the age from which nobody can still be writing such a file.
const staleAfter = time.Hour

// removeStale removes what a run that was killed has left in a folder. It tries
// no harder than that: such files are in nobody's way.
func removeStale(dir string) {
	left, err := filepath.Glob(filepath.Join(globbed(dir), Unfinished+strings.Repeat("[0-9a-f]", 16)))
	if err != nil {
		return
	}
	for _, name := range left {
		if info, err := os.Lstat(name); err == nil && info.Mode().IsRegular() && time.Since(info.ModTime()) > staleAfter {
			os.Remove(name)
		}
	}
}

// globbed is a path without a meaning for Glob.
func globbed(path string) string {
	return strings.NewReplacer("*", "[*]", "?", "[?]", "[", "[[]").Replace(path)
}

// rename gives tmp its name. Without force it does so by a link, which fails if
// somebody has made a file of that name in the meantime; where the file system
// has no links a rename must do.
func rename(tmp, target string, force bool) error {
	if force {
		return os.Rename(tmp, target)
	}
	err := os.Link(tmp, target)
	if err == nil || errors.Is(err, fs.ErrExist) {
		return err
	}
	return os.Rename(tmp, target)
}

// Bare is err without the path and the name of the system call.
func Bare(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	var le *os.LinkError
	if errors.As(err, &le) {
		return le.Err
	}
	return err
}
