package edit

import (
	"lostair/diagnose/duct/systemfile"
	"strings"

	"github.com/goccy/go-yaml/ast"
)

// end is where a value ends: behind its last character, a comment not included.
// colon is the place behind the key's colon, for a value that isn't there.
func (f *File) end(n ast.Node, colon int, flow bool) (int, bool) {
	if _, null := n.(*ast.NullNode); null || n == nil {
		rest := f.text[colon:f.lineEnd(colon)]
		word := strings.TrimLeft(rest, " ")
		for _, w := range []string{"null", "~"} {
			if strings.HasPrefix(word, w) {
				return colon + len(rest) - len(word) + len(w), true
			}
		}
		return colon, true
	}
	from, ok := f.offset(systemfile.At(n))
	if !ok || from >= len(f.text) {
		return 0, false
	}
	switch x := n.(type) {
	case *ast.MappingNode:
		if x.IsFlowStyle {
			return f.brackets(from)
		}
		return f.endOf(x.Values[len(x.Values)-1], flow)
	case *ast.MappingValueNode:
		return f.endOf(x, flow)
	case *ast.SequenceNode:
		if x.IsFlowStyle {
			return f.brackets(from)
		}
		return f.end(x.Values[len(x.Values)-1], from, flow)
	case *ast.LiteralNode:
		return 0, false
	}
	if f.text[from] == '"' || f.text[from] == '\'' {
		return f.quoted(from)
	}
	return f.word(from, flow), true
}

func (f *File) endOf(kv *ast.MappingValueNode, flow bool) (int, bool) {
	_, colon, ok := f.keySpan(kv)
	if !ok {
		return 0, false
	}
	return f.end(kv.Value, colon, flow)
}

// word is the end of a value without quotes.
func (f *File) word(from int, flow bool) int {
	i := from
	for ; i < len(f.text) && f.text[i] != '\n'; i++ {
		if f.text[i] == '#' && f.text[i-1] == ' ' || flow && strings.IndexByte(",]}", f.text[i]) >= 0 {
			break
		}
	}
	return from + len(strings.TrimRight(f.text[from:i], " \t"))
}

// quoted is the end of a value in quotes.
func (f *File) quoted(from int) (int, bool) {
	q := f.text[from]
	for i := from + 1; i < len(f.text); i++ {
		switch {
		case q == '"' && f.text[i] == '\\':
			i++
		case f.text[i] == q:
			if q == '\'' && i+1 < len(f.text) && f.text[i+1] == q {
				i++
				continue
			}
			return i + 1, true
		}
	}
	return 0, false
}

// brackets is the end of a flow collection.
func (f *File) brackets(from int) (int, bool) {
	depth := 0
	for i := from; i < len(f.text); i++ {
		switch c := f.text[i]; {
		case c == '{' || c == '[':
			depth++
		case c == '}' || c == ']':
			if depth--; depth == 0 {
				return i + 1, true
			}
		case (c == '"' || c == '\'') && strings.IndexByte(" ,:[{\n", f.text[i-1]) >= 0:
			end, ok := f.quoted(i)
			if !ok {
				return 0, false
			}
			i = end - 1
		case c == '#' && (f.text[i-1] == ' ' || f.text[i-1] == '\n'):
			i = f.lineEnd(i) - 1
		}
	}
	return 0, false
}

// keySpan is where a key begins, and the place behind its colon.
func (f *File) keySpan(kv *ast.MappingValueNode) (from, colon int, ok bool) {
	if from, ok = f.offset(systemfile.At(kv.Key)); !ok {
		return
	}
	i := from
	if i < len(f.text) && (f.text[i] == '"' || f.text[i] == '\'') {
		if i, ok = f.quoted(i); !ok {
			return
		}
	}
	n := strings.IndexByte(f.text[i:], ':')
	if n < 0 {
		return 0, 0, false
	}
	return from, i + n + 1, true
}
