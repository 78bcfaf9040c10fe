package whatif

import (
	"errors"
	"fmt"
	"strings"

	"lostair/readings/problem"
	"lostair/readings/units"
)

// Take makes one change, "key=value".
func (e *Edit) Take(text string) (Setting, *problem.Problem) {
	k, value, ok := strings.Cut(text, "=")
	k, value = strings.TrimSpace(k), strings.TrimSpace(value)
	wrong := func(what, do string) (Setting, *problem.Problem) {
		return Setting{}, &problem.Problem{File: e.Sys.File, What: fmt.Sprintf("--set %q: %s", shortly(text), what), Do: do}
	}
	if !ok || k == "" || value == "" {
		return wrong("a change is written as key=value", "such as 'filter=2x', 'ID.diameter=125 mm' or 'ID.diameter=5 in'")
	}
	id, name, dotted := cutLast(k)
	t := e.targetOf(id)
	if !dotted {
		id, name, t = "", k, whole
	}
	if dotted && t == 0 {
		do := "name a duct, a port, a gate, the bin, air or collector"
		if near, ok := problem.Nearest(id, e.names()); ok {
			do = fmt.Sprintf("did you mean %q?", near)
		}
		return wrong(fmt.Sprintf("there is no duct, port or gate %q", shortly(id)), do)
	}
	row := keyNamed(name, t)
	if row == nil {
		do := "known are " + strings.Join(keysOf(t), ", ")
		if near, ok := problem.Nearest(name, keysOf(t)); ok {
			do = fmt.Sprintf("did you mean %q?", near)
		} else if !dotted {
			do += "; of a duct, port or gate ID.KEY, see lostair whatif --help"
		}
		return wrong(fmt.Sprintf("%q can't be set", shortly(k)), do)
	}
	before, after, err := row.set(e, id, value)
	if err != nil {
		var u *units.Error
		if asUnitError(err, &u) {
			return wrong(u.What, u.Do)
		}
		var r refusal
		if errors.As(err, &r) {
			return wrong(r.what, r.do)
		}
		return wrong(err.Error(), "see lostair whatif --help")
	}
	return Setting{Key: k, Before: before, After: after}, nil
}

func asUnitError(err error, u **units.Error) bool { return errors.As(err, u) }
