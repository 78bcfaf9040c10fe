package duct

import (
	"strings"

	"github.com/goccy/go-yaml/ast"
)

func (r *reader) machine(f *fields) (Machine, []portName) {
	x := Machine{ID: f.text("id"), Need: f.number("need", 0), Pos: f.row}
	var ports []portName
	if text, ok := plain(f.node("ports")); ok {
		r.add(at(f.node("ports")), f.who+": ports is not a list", portsInBrackets(text))
		f.find("ports").bad = true
		return x, nil
	}
	whole := r.rows(f.node("ports"), f.who+": ports", func(_ int, row ast.Node) bool {
		id, ok := plain(row)
		if !ok {
			r.add(at(row), f.who+": this is no port's id", "write the ids of its ports, for example [top, belly]")
			return false
		}
		ports = append(ports, portName{id, at(row)})
		return true
	})
	if m := f.find("ports"); m != nil && !whole {
		m.bad = true
	}
	return x, ports
}

// portsInBrackets says how ports are listed that stand there as one text.
func portsInBrackets(text string) string {
	var ids []string
	for _, id := range strings.FieldsFunc(cut(text), func(c rune) bool { return strings.ContainsRune("+,;&", c) }) {
		if id = strings.TrimSpace(id); id != "" {
			ids = append(ids, Scalar(id))
		}
	}
	return "write them in brackets: [" + strings.Join(ids, ", ") + "]"
}
