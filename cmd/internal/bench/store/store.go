package store

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"path"
	"strings"
)

// Store holds the files of one shop: its system file, surveys and log.
type Store interface {
	// Names lists the files, sorted; those in folders as "folder/file".
	Names() ([]string, error)
	// Read gives a file as it is now; an error that is fs.ErrNotExist if there is none.
	Read(name string) ([]byte, error)
	// Write writes a file whole or not at all, if what stands there still has the
	// version was ("" for no file); else the error is ErrChanged.
	Write(name string, data []byte, was string) error
}

// ErrChanged says that a file is no longer what it was when it was shown.
var ErrChanged = errors.New("the file was changed meanwhile")

// VersionOf tells one state of a file from another.
func VersionOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:8])
}

// Version is that of a file in a store; "" if there is none.
func Version(s Store, name string) string {
	data, err := s.Read(name)
	if err != nil {
		return ""
	}
	return VersionOf(data)
}

// File is a file by its name and what it holds.
type File struct {
	Name string
	Data []byte
}

// Plain says whether a name can be a file of the shop's: at most one folder
// deep, nothing hidden, and no way out.
func Plain(name string) bool {
	if name == "" || len(name) > 200 || path.Clean(name) != name || path.IsAbs(name) || strings.ContainsAny(name, "\\:\x00") {
		return false
	}
	parts := strings.Split(name, "/")
	for _, p := range parts {
		if strings.HasPrefix(p, ".") {
			return false
		}
	}
	return len(parts) <= 2
}
