package store

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path"
	"slices"
	"strings"
	"sync"
	"time"
)

// Folder is a Store in a folder of the disk. Nothing outside of it can be reached,
// by dots or by symbolic links: os.Root sees to that.
type Folder struct {
	root *os.Root
	mu   sync.Mutex
}

// OpenFolder opens the folder at a path.
func OpenFolder(path string) (*Folder, error) {
	r, err := os.OpenRoot(path)
	if err != nil {
		return nil, err
	}
	return &Folder{root: r}, nil
}

// Close closes it.
func (f *Folder) Close() error { return f.root.Close() }

// Hold waits for what is being written and lets nothing be written after it, for a
// process that is about to end.
func (f *Folder) Hold() { f.mu.Lock() }

// Bounds of what is looked at in a folder that somebody may have chosen badly.
const (
	mostFiles   = 2000
	mostBytes   = 5 << 20
	listedTypes = ".yaml .yml .csv"
)

// Names is as Store has it: ordinary files that a shop may have, one folder deep.
func (f *Folder) Names() ([]string, error) {
	var out []string
	err := fs.WalkDir(f.root.FS(), ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil && name == ".":
			return err
		case err != nil:
			return nil // what can't be read is left out
		case name == ".":
			return nil
		case len(out) >= mostFiles:
			return fs.SkipAll
		case !Plain(name) || d.IsDir() && strings.Contains(name, "/"):
			if d.IsDir() {
				return fs.SkipDir
			}
			return nil
		case d.IsDir() || !Listed(name):
			return nil
		}
		if info, err := f.root.Stat(name); err == nil && info.Mode().IsRegular() { // of a link: what it leads to, if that lies inside
			out = append(out, name)
		}
		return nil
	})
	slices.Sort(out)
	return out, err
}

// Listed says whether a name is that of a kind of file that a shop has.
func Listed(name string) bool {
	return slices.Contains(strings.Fields(listedTypes), strings.ToLower(path.Ext(name)))
}

// Read is as Store has it.
func (f *Folder) Read(name string) ([]byte, error) {
	if !Plain(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	file, err := f.root.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	if info, err := file.Stat(); err != nil || !info.Mode().IsRegular() {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	data, err := io.ReadAll(io.LimitReader(file, mostBytes+1))
	if err == nil && len(data) > mostBytes {
		return nil, fmt.Errorf("%s has more than %d bytes", name, mostBytes)
	}
	return data, err
}

// Write is as Store has it: into a new file that then takes the name.
func (f *Folder) Write(name string, data []byte, was string) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if !Plain(name) {
		return &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	if Version(f, name) != was {
		return ErrChanged
	}
	target, err := f.behind(name)
	if err != nil {
		return err
	}
	f.sweep(path.Dir(target))
	tmp, err := f.beside(target, data)
	if err != nil {
		return err
	}
	defer f.root.Remove(tmp) // there is nothing to remove once it has its name
	if was == "" {
		// A link fails if somebody has made a file of that name in the meantime.
		if err := f.root.Link(tmp, target); !errors.Is(err, errors.ErrUnsupported) {
			if errors.Is(err, fs.ErrExist) {
				return ErrChanged
			}
			if err == nil {
				return nil
			}
		}
	}
	if Version(f, name) != was {
		return ErrChanged
	}
	return f.root.Rename(tmp, target)
}

// behind is the file that a name means: that which a link inside the folder leads
// to, so that the link stays one.
func (f *Folder) behind(name string) (string, error) {
	for range 8 {
		info, err := f.root.Lstat(name)
		if err != nil || info.Mode()&fs.ModeSymlink == 0 {
			return name, nil
		}
		to, err := f.root.Readlink(name)
		if err != nil || path.IsAbs(to) {
			return "", &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
		}
		name = path.Join(path.Dir(name), to)
	}
	return "", &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
}

// unfinished begins the name of a file that is being written, as cmd/lostair's do.
const unfinished = ".lostair-"

// sweep removes what a run that was killed has left in a folder over an hour ago.
func (f *Folder) sweep(dir string) {
	left, err := fs.Glob(f.root.FS(), path.Join(dir, unfinished+strings.Repeat("[0-9a-f]", 16)))
	if err != nil {
		return
	}
	for _, name := range left {
		if info, err := f.root.Lstat(name); err == nil && info.Mode().IsRegular() && time.Since(info.ModTime()) > time.Hour {
			f.root.Remove(name)
		}
	}
}

// beside writes data to a new file in the folder of target, and sees it onto the
// disk. What is replaced keeps its mode.
func (f *Folder) beside(target string, data []byte) (name string, err error) {
	name = path.Join(path.Dir(target), fmt.Sprintf("%s%016x", unfinished, rand.Uint64()))
	file, err := f.root.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return "", err
	}
	defer func() {
		if err = errors.Join(err, file.Close()); err != nil {
			f.root.Remove(name)
		}
	}()
	if info, none := f.root.Stat(target); none == nil {
		if err = file.Chmod(info.Mode().Perm()); err != nil {
			return "", err
		}
	}
	if _, err = file.Write(data); err != nil {
		return "", err
	}
	return name, file.Sync()
}
