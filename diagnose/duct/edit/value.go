// Package edit changes a system file as text: what a change does not name stays
// as its owner wrote it, comments, order and spacing included. Every change is
// read back and compared with what was asked for before it counts.
package edit

import (
	"slices"

	"github.com/goccy/go-yaml/ast"

	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/systemfile"
)

// Value is a value of the file: a text, a set of keys or a list.
type Value struct {
	Text string  // of a single value, as YAML reads it
	Keys []Entry // of a set of keys, in order
	Rows []Value // of a list
	Form Form
	Pos  keys.Pos // where it begins
}

// Form is what a Value is.
type Form uint8

const (
	Single Form = iota
	Keyed
	List
	Empty // nothing stands there
)

// Entry is a key with its value.
type Entry struct {
	Key   string
	Pos   keys.Pos // of the key
	Value Value
}

// Get finds the value of a key; the Form of what isn't there is Empty.
func (v Value) Get(key string) Value {
	for _, e := range v.Keys {
		if e.Key == key {
			return e.Value
		}
	}
	return Value{Form: Empty}
}

// Has says whether a key is there.
func (v Value) Has(key string) bool {
	return slices.ContainsFunc(v.Keys, func(e Entry) bool { return e.Key == key })
}

// Row finds the row of a list whose id it is, or -1.
func (v Value) Row(id string) int {
	return slices.IndexFunc(v.Rows, func(r Value) bool { return r.Get("id").Text == id })
}

// equal compares what two values say, wherever they stand.
func (v Value) equal(w Value) bool {
	if v.Form != w.Form || v.Text != w.Text || len(v.Keys) != len(w.Keys) || len(v.Rows) != len(w.Rows) {
		return false
	}
	for i := range v.Keys {
		if v.Keys[i].Key != w.Keys[i].Key || !v.Keys[i].Value.equal(w.Keys[i].Value) {
			return false
		}
	}
	for i := range v.Rows {
		if !v.Rows[i].equal(w.Rows[i]) {
			return false
		}
	}
	return true
}

// valueOf turns a node of the syntax tree into a Value.
func valueOf(n ast.Node) Value {
	v := Value{Pos: systemfile.At(n)}
	switch x := n.(type) {
	case nil, *ast.NullNode:
		v.Form = Empty
	case *ast.MappingNode:
		v.Form, v.Keys = Keyed, entriesOf(x.Values)
	case *ast.MappingValueNode:
		v.Form, v.Keys = Keyed, entriesOf([]*ast.MappingValueNode{x})
	case *ast.SequenceNode:
		v.Form = List
		for _, r := range x.Values {
			v.Rows = append(v.Rows, valueOf(r))
		}
	default:
		v.Text = textOf(n)
	}
	return v
}

func entriesOf(list []*ast.MappingValueNode) []Entry {
	var out []Entry
	for _, kv := range list {
		out = append(out, Entry{Key: textOf(kv.Key), Pos: systemfile.At(kv.Key), Value: valueOf(kv.Value)})
	}
	return out
}

func textOf(n ast.Node) string {
	switch x := n.(type) {
	case *ast.StringNode:
		return x.Value
	case *ast.LiteralNode:
		return x.Value.Value
	}
	if tk := n.GetToken(); tk != nil {
		return tk.Value
	}
	return ""
}
