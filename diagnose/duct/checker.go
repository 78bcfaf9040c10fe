package duct

import (
	"fmt"
	"math"

	"lostair/diagnose/duct/keys"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// checker holds a System against what can be. It works on SI values and takes
// places and wording from the sheet, so that a System read from a file and
// one built in Go meet the same checks.
type checker struct {
	s   *System
	sh  *keys.Sheet
	out problem.List
}

func (c *checker) add(at keys.Pos, what, do string) {
	c.out = append(c.out, problem.Problem{File: c.s.File, Line: at.Line, Column: at.Column, What: what, Do: do})
}

func (c *checker) warn(at keys.Pos, what, do string) {
	c.add(at, what, do)
	c.out[len(c.out)-1].Warning = true
}

// within reports a value outside the limits of its key. A key that was left
// out, or that was reported before, is passed over.
func (c *checker) within(m *keys.Marks, section, key, who string, v float64) {
	k := keys.SectionNamed(section).Key(key)
	if m.Find(key) == nil && (m.Written || v == 0 && !k.Needed) {
		return
	}
	c.held(m, k, who, v)
}

// held is within for a value that is never left out: 0 is 0.
func (c *checker) held(m *keys.Marks, k *keys.Key, who string, v float64) {
	if c.sh.Loose || m.Bad(k.Name) {
		return
	}
	if v >= k.Min && v <= k.Max || k.Min == k.Max {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			return
		}
	}
	c.outside(m, k, who, v)
}

func (c *checker) outside(m *keys.Marks, k *keys.Key, who string, v float64) {
	text := c.show(k, v)
	if w := m.Find(k.Name); w != nil {
		text = keys.Quote(w.Text)
	}
	c.add(m.Pos(k.Name), fmt.Sprintf("%s: %s %s is not possible", who, k.Name, text),
		fmt.Sprintf("it lies between %s and %s%s", c.show(k, k.Min), c.show(k, k.Max), c.bare(k)))
}

// share is within for percentages, where 0.15 for 15 % is a likely slip.
func (c *checker) share(m *keys.Marks, section, key, who string, v float64) {
	c.within(m, section, key, who, v)
	w := m.Find(key)
	switch {
	case w == nil || !w.Bare || w.Bad || v <= 0 || v > 0.01:
	case v == 0.01:
		c.warn(w.Pos, fmt.Sprintf("%s: %s %s is read as 1 %%", who, key, w.Text), "write 1% if that is meant, and 100% if all of it is")
	default:
		c.warn(w.Pos, fmt.Sprintf("%s: %s %s is read as %s %%", who, key, w.Text, units.Brief(100*v)),
			fmt.Sprintf("if %s %% is meant, write %s%%", units.Brief(1e4*v), units.Brief(1e4*v)))
	}
}

func possible(diameter float64) bool {
	return diameter >= keys.MinDiameter && diameter <= keys.MaxDiameter
}

// show writes a value in the file's unit system, with its unit.
func (c *checker) show(k *keys.Key, v float64) string {
	if k.IsAngle() {
		return units.Brief(v/units.Degree) + "°"
	}
	text := units.Brief(k.Dim.FromSI(c.s.Units, v))
	if u := c.unit(k); u != "" {
		text += " " + u
	}
	return text
}

// unit is what a bare number of the key is in.
func (c *checker) unit(k *keys.Key) string {
	if k.IsAngle() {
		return ""
	}
	return k.Dim.Symbol(c.s.Units)
}

// bare reminds of what a number without a unit means.
func (c *checker) bare(k *keys.Key) string {
	if u := c.unit(k); u != "" {
		return ", and a number without a unit is in " + u
	}
	return ""
}
