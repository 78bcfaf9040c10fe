package systemfile

import (
	"strings"

	"github.com/goccy/go-yaml/ast"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/keys"
)

func (r *reader) machine(f *fields) (duct.Machine, []portName) {
	x := duct.Machine{ID: f.text("id"), Need: f.number("need", 0), Pos: f.Row}
	var ports []portName
	if text, ok := plain(f.node("ports")); ok {
		r.add(At(f.node("ports")), f.who+": ports is not a list", portsInBrackets(text))
		f.Find("ports").Bad = true
		return x, nil
	}
	whole := r.rows(f.node("ports"), f.who+": ports", func(_ int, row ast.Node) bool {
		id, ok := plain(row)
		if !ok {
			r.add(At(row), f.who+": this is no port's id", "write the ids of its ports, for example [top, belly]")
			return false
		}
		ports = append(ports, portName{id, At(row)})
		return true
	})
	if m := f.Find("ports"); m != nil && !whole {
		m.Bad = true
	}
	return x, ports
}

// portsInBrackets says how ports are listed that stand there as one text.
func portsInBrackets(text string) string {
	var ids []string
	for _, id := range strings.FieldsFunc(keys.Cut(text), func(c rune) bool { return strings.ContainsRune("+,;&", c) }) {
		if id = strings.TrimSpace(id); id != "" {
			ids = append(ids, Scalar(id))
		}
	}
	return "write them in brackets: [" + strings.Join(ids, ", ") + "]"
}
