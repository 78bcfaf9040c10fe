package duct

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	"lostair/diagnose/duct/keys"
)

// reserved are names with a meaning of their own in the readings file, in the
// system file or in a result.
var reserved = map[string]string{
	"collector-inlet": "a point of the collector",
	"fan-inlet":       "a point of the collector",
	"filter":          "a point of the collector",
	"bin":             "a point of the collector",
	"collector":       "where the ducts end",
	"fan":             "the fan",
	"all":             "all gates open",
	"none":            "no gate open",
}

// meaning is what an id would be read as, or "". A readings file has "all" and
// "none" in any case; the other reserved ids as they stand.
func meaning(id string) string {
	if m := reserved[id]; m != "" {
		return m
	}
	if lower := strings.ToLower(id); lower == "all" || lower == "none" {
		return reserved[lower]
	}
	return ""
}

// owner is who has an id, and where.
type owner struct {
	kind string // duct, port, tap or gate
	pos  keys.Pos
}

// ids checks each id by itself and against the others. A gate may share the id
// of a port or a duct; otherwise an id stands for one thing only.
func (c *checker) ids() {
	places := map[string]owner{} // ducts, ports, taps
	gates := map[string]owner{}
	instruments := map[string]owner{}
	for i := range c.s.Ducts {
		d, m := &c.s.Ducts[i], &c.sh.Ducts[i]
		if !m.Bad("id") {
			c.id(places, nil, d.ID, owner{"duct", m.Pos("id")})
		}
		for j := range d.Taps {
			c.id(places, gates, d.Taps[j].ID, owner{"tap", m.Taps[j].Row})
		}
		if d.Gate != "" || m.Find("gate") != nil && !m.Bad("gate") {
			c.gate(places, gates, d.Gate, m.GateID())
		}
	}
	for i := range c.s.Ports {
		if m := &c.sh.Ports[i]; !m.Bad("id") {
			c.id(places, nil, c.s.Ports[i].ID, owner{"port", m.Pos("id")})
		}
	}
	for i := range c.s.Instruments {
		if m := &c.sh.Instruments[i]; !m.Bad("id") {
			c.id(instruments, nil, c.s.Instruments[i].ID, owner{"instrument", m.Pos("id")})
		}
	}
}

// id enters an id, which must be in neither map yet.
func (c *checker) id(mine, others map[string]owner, id string, by owner) {
	if !c.wellFormed(id, by) {
		return
	}
	before, taken := mine[id]
	if !taken {
		before, taken = others[id]
	}
	if taken {
		c.taken(id, by, before)
		return
	}
	mine[id] = by
}

func (c *checker) gate(places, gates map[string]owner, id string, at keys.Pos) {
	by := owner{"gate", at}
	if before, ok := places[id]; ok && before.kind == "tap" {
		c.taken(id, by, before)
		return
	}
	c.id(gates, nil, id, by)
}

func (c *checker) taken(id string, by, before owner) {
	where := ""
	if before.pos.Line > 0 {
		where = fmt.Sprintf(" (the other stands in line %d)", before.pos.Line)
	}
	do := "give one of them another id"
	if by.kind == "gate" && before.kind == "gate" {
		do = "give each gate its own id; of a duct with two gates make two ducts"
	}
	what := before.kind + " " + keys.Quote(id)
	if by.kind != before.kind {
		what += " and " + by.kind + " " + keys.Quote(id) + " share an id"
	} else {
		what = "there is a second " + what
	}
	c.add(by.pos, what+where, do)
}

// wellFormed reports an id that can't be named in a readings file.
func (c *checker) wellFormed(id string, by owner) bool {
	what := by.kind + " id " + keys.Quote(id)
	switch {
	case id == "":
		c.add(by.pos, "a "+by.kind+" id is empty", "give it a short name")
	case utf8.RuneCountInString(id) > keys.MaxLength:
		c.add(by.pos, fmt.Sprintf("%s has more than %d characters", what, keys.MaxLength), "give it a short name")
	case strings.TrimSpace(id) != id:
		c.add(by.pos, what+" begins or ends with a space", "take the space out")
	case strings.IndexFunc(id, separator) >= 0:
		c.add(by.pos, what+" holds a character that readings files use between ids", "leave out + , ; tabs, line ends and control characters")
	case meaning(id) != "" && by.kind != "instrument":
		c.add(by.pos, what+" is reserved for "+meaning(id), "choose another id")
	default:
		return true
	}
	return false
}

func separator(r rune) bool {
	return r == '+' || r == ',' || r == ';' || unicode.IsControl(r) || r == '\u2028' || r == '\u2029' || r == utf8.RuneError
}
