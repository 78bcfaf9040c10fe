package disk

import (
	"fmt"
	"os"
	"path/filepath"
)

// File is a file to be written.
type File struct {
	Name string
	Data []byte
}

// WriteAll writes all files into a folder, or none: it looks whether all can
// be written first, and takes away those it has made if one fails after all.
func WriteAll(dir string, files []File, force bool) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return fmt.Errorf("the folder %s can't be made: %w", dir, Bare(err))
	}
	existed := map[string]bool{}
	for _, f := range files {
		path := filepath.Join(dir, f.Name)
		_, exists, err := TargetOf(path)
		if err != nil {
			return err
		}
		if exists && !force {
			return fmt.Errorf("%s exists; give another folder, or --force to replace it", path)
		}
		existed[path] = exists
	}
	var made []string
	for _, f := range files {
		path := filepath.Join(dir, f.Name)
		err := os.MkdirAll(filepath.Dir(path), 0o755)
		if err == nil {
			err = WriteWhole(path, f.Data, force)
		}
		if err != nil {
			for _, m := range made {
				os.Remove(m)
			}
			return err
		}
		if !existed[path] {
			made = append(made, path)
		}
	}
	return nil
}
