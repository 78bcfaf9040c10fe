package duct

import (
	"fmt"
	"math"

	"lostair/readings/problem"
	"lostair/readings/units"
)

// checker holds a System against what can be. It works on SI values and takes
// places and wording from the sheet, so that a System read from a file and
// one built in Go meet the same checks.
type checker struct {
	s   *System
	sh  *sheet
	out problem.List
}

func (c *checker) add(at Pos, what, do string) {
	c.out = append(c.out, problem.Problem{File: c.s.File, Line: at.Line, Column: at.Column, What: what, Do: do})
}

func (c *checker) warn(at Pos, what, do string) {
	c.add(at, what, do)
	c.out[len(c.out)-1].Warning = true
}

// within reports a value outside the limits of its key. A key that was left
// out, or that was reported before, is passed over.
func (c *checker) within(m *marks, section, key, who string, v float64) {
	k := sectionNamed(section).key(key)
	if m.find(key) == nil && (m.written || v == 0 && !k.Needed) {
		return
	}
	c.held(m, k, who, v)
}

// held is within for a value that is never left out: 0 is 0.
func (c *checker) held(m *marks, k *Key, who string, v float64) {
	if c.sh.loose || m.bad(k.Name) {
		return
	}
	if v >= k.Min && v <= k.Max || k.Min == k.Max {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			return
		}
	}
	c.outside(m, k, who, v)
}

func (c *checker) outside(m *marks, k *Key, who string, v float64) {
	text := c.show(k, v)
	if w := m.find(k.Name); w != nil {
		text = quote(w.text)
	}
	c.add(m.pos(k.Name), fmt.Sprintf("%s: %s %s is not possible", who, k.Name, text),
		fmt.Sprintf("it lies between %s and %s%s", c.show(k, k.Min), c.show(k, k.Max), c.bare(k)))
}

// share is within for percentages, where 0.15 for 15 % is a likely slip.
func (c *checker) share(m *marks, section, key, who string, v float64) {
	c.within(m, section, key, who, v)
	w := m.find(key)
	switch {
	case w == nil || !w.bare || w.bad || v <= 0 || v > 0.01:
	case v == 0.01:
		c.warn(w.pos, fmt.Sprintf("%s: %s %s is read as 1 %%", who, key, w.text), "write 1% if that is meant, and 100% if all of it is")
	default:
		c.warn(w.pos, fmt.Sprintf("%s: %s %s is read as %s %%", who, key, w.text, units.Brief(100*v)),
			fmt.Sprintf("if %s %% is meant, write %s%%", units.Brief(1e4*v), units.Brief(1e4*v)))
	}
}

func possible(diameter float64) bool { return diameter >= MinDiameter && diameter <= MaxDiameter }

// show writes a value in the file's unit system, with its unit.
func (c *checker) show(k *Key, v float64) string {
	if k.isAngle() {
		return units.Brief(v/units.Degree) + "°"
	}
	text := units.Brief(k.Dim.FromSI(c.s.Units, v))
	if u := c.unit(k); u != "" {
		text += " " + u
	}
	return text
}

// unit is what a bare number of the key is in.
func (c *checker) unit(k *Key) string {
	if k.isAngle() {
		return ""
	}
	return k.Dim.Symbol(c.s.Units)
}

// bare reminds of what a number without a unit means.
func (c *checker) bare(k *Key) string {
	if u := c.unit(k); u != "" {
		return ", and a number without a unit is in " + u
	}
	return ""
}
