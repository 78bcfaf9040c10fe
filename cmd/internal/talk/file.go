package talk

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// File is a file that grows by an answer at a time. What it holds is on the disk:
// each change starts from what stands there now, so that what an editor has saved
// meanwhile stays, and replaces the file as a whole or not at all.
type File struct {
	Path  string
	Write func(path string, data []byte, replace bool) error
}

// Read is what the file holds; a file that is not there holds nothing.
func (f *File) Read() ([]byte, error) {
	if info, err := os.Stat(f.Path); err == nil && !info.IsDir() && !info.Mode().IsRegular() {
		return nil, fmt.Errorf("%s is no ordinary file; give another name", f.Path)
	}
	data, err := os.ReadFile(f.Path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, unusable(f.Path, err)
	}
	return data, nil
}

// unusable says in plain words why a file can't be used.
func unusable(path string, err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	return fmt.Errorf("%s can't be used: %w", path, err)
}

// Change replaces what the file holds, and sees it onto the disk.
func (f *File) Change(to func(was []byte) ([]byte, error)) error {
	was, err := f.Read()
	if err != nil {
		return err
	}
	is, err := to(was)
	if err != nil {
		return err
	}
	if now, err := f.Read(); err != nil || !bytes.Equal(now, was) {
		return errors.Join(errMeanwhile, err)
	}
	if err := f.Write(f.Path, is, was != nil); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(f.Path))
}

var errMeanwhile = errors.New("the file has changed at this very moment; it is read anew")

// syncFolder sees the new name of a file onto the disk. Where folders can't be
// synced the system does so by itself.
func syncFolder(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return nil
	}
	defer d.Close()
	_ = d.Sync()
	return nil
}

// takesAnswers refuses a file that holds something else than readings, before
// anything is added to it.
func (f *File) takesAnswers(u units.System) error {
	data, err := f.Read()
	if err != nil || data == nil {
		return err
	}
	return f.grows(data, u)
}

// grows refuses what a row can't be added to.
func (f *File) grows(data []byte, u units.System) error {
	if _, err := readings.Append(data, readings.Row{}, u); err != nil {
		return problem.List{{File: f.Path, What: "answers can't be written into it: " + err.Error()}}
	}
	return nil
}

// survey reads the file as a survey. One that holds no rows yet is an empty survey.
func (f *File) survey(u units.System) (*readings.Survey, string, error) {
	data, err := f.Read()
	if err != nil {
		return nil, "", err
	}
	empty := &readings.Survey{File: f.Path}
	if data == nil {
		return empty, "", nil
	}
	s, list := readings.Read(bytes.NewReader(data), f.Path, u)
	if len(s.Rows)+len(s.Looks)+len(s.Broken) == 0 {
		if err := f.grows(data, u); err != nil {
			return nil, "", err
		}
		return empty, string(data), nil
	}
	return s, string(data), list.Err()
}

func lockName(path string) string {
	return filepath.Join(filepath.Dir(path), "."+filepath.Base(path)+".lock")
}
