package readings

import (
	"bytes"
	"encoding/binary"
	"io"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"lostair/readings/problem"
	"lostair/readings/workbook"
)

// Limits of a readings file; far beyond any survey, they keep a wrong file
// from being read to its end.
const (
	mostBytes = 16 << 20
	mostLine  = 64 << 10 // bytes
	mostRows  = 200_000
)

const asUTF8 = `save it as "CSV UTF-8"`

// text is a file as lines, without byte order mark and line ends.
type text struct {
	all   string // lines ended by \n
	lines []string
}

// readText reads all of r. CRLF and lone CR end lines as LF does, so that line
// numbers are those of an editor.
func readText(r io.Reader, p *problems) (*text, bool) {
	raw, ok := readAll(r, p)
	if !ok {
		return nil, false
	}
	return textOf(raw, p)
}

// readAll reads all of r, if that is no more than a file may hold.
func readAll(r io.Reader, p *problems) ([]byte, bool) {
	raw, err := io.ReadAll(io.LimitReader(r, mostBytes+1))
	if err != nil {
		p.fail(0, 0, "the file cannot be read: "+problem.Cause(err), "check the name and that you may read it")
		return nil, false
	}
	if len(raw) > mostBytes {
		p.fail(0, 0, "the file is larger than 16 MiB", "give the readings file of one survey")
		return nil, false
	}
	return raw, true
}

func textOf(raw []byte, p *problems) (*text, bool) {
	s, bad := decode(raw)
	if !p.report(0, 0, bad) {
		return nil, false
	}
	s = strings.ReplaceAll(strings.ReplaceAll(s, "\r\n", "\n"), "\r", "\n")
	t := &text{all: s, lines: strings.Split(s, "\n")}
	return t, t.check(p)
}

// decode gives UTF-8 without byte order mark; UTF-16 is told by its mark.
func decode(raw []byte) (string, *fault) {
	switch {
	case workbook.Is(raw):
		return "", &fault{"this is a workbook, not a CSV file", "export the sheet as CSV"}
	case bytes.HasPrefix(raw, []byte{0xFF, 0xFE}):
		return decodeUTF16(raw[2:], binary.LittleEndian)
	case bytes.HasPrefix(raw, []byte{0xFE, 0xFF}):
		return decodeUTF16(raw[2:], binary.BigEndian)
	}
	return string(bytes.TrimPrefix(raw, []byte("\uFEFF"))), nil
}

func decodeUTF16(raw []byte, order binary.ByteOrder) (string, *fault) {
	if len(raw)%2 != 0 {
		return "", &fault{"the file is UTF-16 and ends within a character", asUTF8}
	}
	u := make([]uint16, len(raw)/2)
	for i := range u {
		u[i] = order.Uint16(raw[2*i:])
	}
	return string(utf16.Decode(u)), nil
}

// check refuses what is not text, at its first place.
func (t *text) check(p *problems) bool {
	if strings.TrimSpace(t.all) == "" {
		p.fail(0, 0, "the file is empty", "write a header row with "+problem.AndList(needed())+", and a row for each reading")
		return false
	}
	for i, l := range t.lines {
		if len(l) > mostLine {
			p.fail(i+1, 0, "the line is longer than 64 KiB", "check that this is a readings file, and its quotation marks")
			return false
		}
		for j, r := range l {
			if r == utf8.RuneError && strings.HasPrefix(l[j:], "\uFFFD") {
				continue
			}
			if r == utf8.RuneError {
				p.fail(i+1, t.column(i+1, j+1), "a character is not UTF-8", asUTF8)
				return false
			}
			if r < ' ' && r != '\t' {
				p.fail(i+1, t.column(i+1, j+1), "a control character stands here, so this is not plain text", asUTF8)
				return false
			}
		}
	}
	return true
}

// column turns a column in bytes into one in characters, both 1-based.
func (t *text) column(line, bytes int) int {
	if line < 1 || line > len(t.lines) {
		return 0
	}
	l := t.lines[line-1]
	return utf8.RuneCountInString(l[:min(max(bytes-1, 0), len(l))]) + 1
}
