package edit

import (
	"fmt"
	"slices"
)

// Step is one step down a path: a key, or the number of a row.
type Step struct {
	Key string
	Row int // if Key is ""
}

// Path leads from the top of the file to a value.
type Path []Step

// At makes a path of keys (strings) and rows (ints); anything else panics, as a
// slip of the caller's.
func At(steps ...any) Path {
	var p Path
	for _, s := range steps {
		switch x := s.(type) {
		case string:
			p = append(p, Step{Key: x})
		case int:
			p = append(p, Step{Row: x})
		default:
			panic(fmt.Sprintf("edit: %T is no step of a path", s))
		}
	}
	return p
}

// Change is one change of a file. Text is YAML on one line, such as Scalar gives.
type Change struct {
	Path   Path
	Text   string
	Delete bool // what Path leads to goes
	Insert bool // a new row before the one that Path names, or at the end
}

// Set gives a key its value; a key that isn't there is added.
func Set(p Path, text string) Change { return Change{Path: p, Text: text} }

// Delete takes a key or a row out.
func Delete(p Path) Change { return Change{Path: p, Delete: true} }

// Insert adds a row before the one that p names, or at the list's end.
func Insert(p Path, text string) Change { return Change{Path: p, Text: text, Insert: true} }

// on makes the change on a value in memory, for comparison.
func (c Change) on(v Value, fresh Value) (Value, bool) { return c.at(v, c.Path, fresh) }

func (c Change) at(v Value, p Path, fresh Value) (Value, bool) {
	if len(p) == 0 {
		return fresh, true
	}
	s, last := p[0], len(p) == 1
	if s.Key == "" {
		return c.atRow(v, s.Row, last, p[1:], fresh)
	}
	if v.Form == Empty {
		v.Form = Keyed
	}
	if v.Form != Keyed {
		return v, false
	}
	v.Keys = slices.Clone(v.Keys)
	i := slices.IndexFunc(v.Keys, func(e Entry) bool { return e.Key == s.Key })
	switch {
	case last && c.Delete:
		if i < 0 {
			return v, false
		}
		v.Keys = slices.Delete(v.Keys, i, i+1)
		return v, true
	case i < 0 && last && !c.Insert:
		v.Keys = append(v.Keys, Entry{Key: s.Key, Value: fresh})
		return v, true
	case i < 0:
		return v, false
	}
	w, ok := c.at(v.Keys[i].Value, p[1:], fresh)
	v.Keys[i].Value = w
	return v, ok
}

func (c Change) atRow(v Value, i int, last bool, rest Path, fresh Value) (Value, bool) {
	if v.Form == Empty && last && c.Insert {
		v.Form = List
	}
	if v.Form != List || i < 0 || i > len(v.Rows) || i == len(v.Rows) && !(last && c.Insert) {
		return v, false
	}
	v.Rows = slices.Clone(v.Rows)
	switch {
	case last && c.Delete:
		v.Rows = slices.Delete(v.Rows, i, i+1)
		return v, true
	case last && c.Insert:
		v.Rows = slices.Insert(v.Rows, i, fresh)
		return v, true
	}
	w, ok := c.at(v.Rows[i], rest, fresh)
	v.Rows[i] = w
	return v, ok
}
