package edit

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"github.com/goccy/go-yaml/ast"

	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/systemfile"
)

// File is a system file that may be incomplete, or wrong in all but its YAML.
type File struct {
	Root Value

	name      string
	text      string // line ends are \n
	lines     []int  // where each line starts
	node      ast.Node
	mark      bool // a byte-order mark stood in front
	carriages bool // line ends were \r\n
}

// Open reads a file. What is no YAML that a system file may use is a problem.List.
func Open(data []byte, name string) (*File, error) {
	f := &File{name: name, mark: bytes.HasPrefix(data, []byte("\ufeff")), carriages: bytes.Contains(data, []byte("\r\n"))}
	f.text = strings.ReplaceAll(strings.TrimPrefix(string(data), "\ufeff"), "\r\n", "\n")
	root, list := systemfile.Tree([]byte(f.text), name)
	if err := list.Err(); err != nil {
		return nil, err
	}
	f.node, f.Root = root, valueOf(root)
	for i, start := 0, true; i < len(f.text); i++ {
		if start {
			f.lines = append(f.lines, i)
		}
		start = f.text[i] == '\n'
	}
	return f, nil
}

// Bytes is the file as it is written to the disk.
func (f *File) Bytes() []byte {
	t := f.text
	if f.carriages {
		t = strings.ReplaceAll(t, "\n", "\r\n")
	}
	if f.mark {
		t = "\ufeff" + t
	}
	return []byte(t)
}

// offset is where a place of the file stands in its text.
func (f *File) offset(p keys.Pos) (int, bool) {
	if p.Line < 1 || p.Line > len(f.lines) || p.Column < 1 {
		return 0, false
	}
	i := f.lines[p.Line-1]
	for range p.Column - 1 {
		if i >= len(f.text) || f.text[i] == '\n' {
			return 0, false
		}
		_, n := utf8.DecodeRuneInString(f.text[i:])
		i += n
	}
	return i, true
}

// lineEnd is the end of the line that i stands in, the line break not included.
func (f *File) lineEnd(i int) int {
	if n := strings.IndexByte(f.text[i:], '\n'); n >= 0 {
		return i + n
	}
	return len(f.text)
}

func (f *File) lineStart(i int) int { return strings.LastIndexByte(f.text[:i], '\n') + 1 }
