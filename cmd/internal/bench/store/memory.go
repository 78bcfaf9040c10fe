package store

import (
	"bytes"
	"io/fs"
	"slices"
	"sync"
)

// Memory is a Store that lives with the program: the demo's, and that of the page
// that is one file, which hands on what changes.
type Memory struct {
	Changed func(name string, data []byte) // called with each file written; may be nil

	mu    sync.Mutex
	files map[string][]byte
}

// NewMemory is a Store that holds files.
func NewMemory(files ...File) *Memory {
	m := &Memory{files: map[string][]byte{}}
	for _, f := range files {
		m.files[f.Name] = bytes.Clone(f.Data)
	}
	return m
}

// Names is as Store has it.
func (m *Memory) Names() ([]string, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	out := make([]string, 0, len(m.files))
	for n := range m.files {
		out = append(out, n)
	}
	slices.Sort(out)
	return out, nil
}

// Read is as Store has it.
func (m *Memory) Read(name string) ([]byte, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	data, ok := m.files[name]
	if !ok {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return bytes.Clone(data), nil
}

// Write is as Store has it.
func (m *Memory) Write(name string, data []byte, was string) error {
	m.mu.Lock()
	defer m.mu.Unlock()
	if !Plain(name) {
		return &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	old, ok := m.files[name]
	if ok && VersionOf(old) != was || !ok && was != "" {
		return ErrChanged
	}
	m.files[name] = bytes.Clone(data)
	if m.Changed != nil {
		m.Changed(name, data)
	}
	return nil
}
