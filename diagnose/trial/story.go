package trial

import (
	"cmp"
	"fmt"
	"slices"

	"lostair/diagnose/duct"
	"lostair/diagnose/trial/internal/dice"
)

// Happening is something that breaks in a history, and may be mended. Surveys are
// counted from 0.
type Happening struct {
	Kind    string  // of the fault; its place and severity by seed
	From    int     // first survey that has it
	To      int     // first survey without it; 0: it stays
	Grows   int     // surveys over which it grows evenly to its size, from From on; 0: it is there at once
	Cut     int     // survey from which a part of it is mended; 0: none
	Left    float64 // of its size from Cut on: the share of a hole or a blockage, of what a filter, a gate or a fan is off
	SameRun bool    // it is in the drop of the happening before it
}

// StoryOptions shape a history of several things. The zero ones are six ports and
// twelve surveys a month apart in which nothing happens.
type StoryOptions struct {
	Ports   int // 0: 6
	Surveys int // 0: 12
	Days    int // between surveys; 0: 30
	Happens []Happening
	Off     Options // how far the plant lies off its page
}

// Happened is a happening with its place.
type Happened struct {
	Happening
	Fault         // only kind, place and severity at its largest are filled in
	Takes float64 // largest share that it takes from a port's air, with that port's gate alone open
}

// NewStory makes up a history in which things break and are mended: one plant,
// surveyed in the same way each time, with that day's air, filter and instrument
// errors. An error says that the plant has no place for one of them.
func NewStory(seed uint64, opt StoryOptions) (*History, []Happened, error) {
	var flaws []flaw
	c, rows, err := overTime(seed, cmp.Or(opt.Ports, 6), opt.Off, func(s *duct.System, d dice.Dice) (_ []flaw, err error) {
		flaws, err = opt.flaws(s, d)
		return flaws, err
	})
	if err != nil {
		return nil, nil, err
	}
	h := &History{System: c.System, SystemYAML: c.SystemYAML}
	for k := range cmp.Or(opt.Surveys, 12) {
		y := day{seed: seed, stream: dice.StreamHistory + 1000 + 2*uint64(k)}
		for i, x := range opt.Happens {
			if f, there := x.at(k, flaws[i]); there {
				y.flaws = append(y.flaws, f)
			}
		}
		d, err := c.read(y, slices.Clone(rows), dateOf(k, cmp.Or(opt.Days, 30)))
		if err != nil {
			return nil, nil, fmt.Errorf("trial: story %d, survey %d: %w", seed, k, err)
		}
		h.Surveys = append(h.Surveys, d)
	}
	var out []Happened
	for i, x := range opt.Happens {
		takes, err := c.takes(flaws[i])
		if err != nil {
			return nil, nil, fmt.Errorf("trial: story %d: %w", seed, err)
		}
		out = append(out, Happened{x, Fault{Kind: flaws[i].kind, Where: flaws[i].where, Severity: flaws[i].size}, takes})
	}
	return h, out, nil
}

// takes is the largest share that a flaw by itself takes from a port's air.
func (c *Case) takes(f flaw) (float64, error) {
	w := newWorld(c.built, day{seed: c.Seed, stream: dice.StreamHistory})
	sound, err := w.alone()
	if err != nil {
		return 0, err
	}
	w.setFlaws([]flaw{f}, 0)
	with, err := w.alone()
	if err != nil {
		return 0, err
	}
	most := 0.0
	for port, q := range sound {
		most = max(most, 1-with[port]/q)
	}
	return most, nil
}

// flaws are the happenings at their largest.
func (o StoryOptions) flaws(s *duct.System, d dice.Dice) ([]flaw, error) {
	for range storyTries {
		if out := o.drawn(s, d); out != nil || len(o.Happens) == 0 {
			return out, nil
		}
	}
	return nil, fmt.Errorf("trial: story: there is no place for %v", o.Happens)
}

const storyTries = 500

// drawn is nil if what was drawn can't be there together.
func (o StoryOptions) drawn(s *duct.System, d dice.Dice) []flaw {
	var out []flaw
	for _, x := range o.Happens {
		f, ok := drawFlaw(d, s, x.Kind)
		if !ok || clash(out, f) || x.SameRun && !sameRun(s, out[len(out)-1], f) {
			return nil
		}
		out = append(out, f)
	}
	return out
}

// sameRun is whether two flaws lie in ducts one of which leads into the other and
// carries the air of one port alone.
func sameRun(s *duct.System, a, b flaw) bool {
	x, y := a.in(s), b.in(s)
	if x < 0 || y < 0 {
		return false
	}
	return leads(s, x, y) || leads(s, y, x)
}

// in is the duct that a flaw acts in; -1: none.
func (f flaw) in(s *duct.System) int {
	switch {
	case f.gate >= 0:
		for i := range s.Ducts {
			if s.Ducts[i].Gate == f.where {
				return i
			}
		}
	case f.port >= 0:
		return s.Ports[f.port].Duct
	}
	return f.duct
}

// leads is whether duct x leads to y through ducts that nothing else joins.
func leads(s *duct.System, x, y int) bool {
	for d := x; d >= 0; d = s.Ducts[d].Into {
		if d == y {
			return true
		}
		if into := s.Ducts[d].Into; into < 0 || len(s.Ducts[into].Children) > 1 {
			return false
		}
	}
	return false
}

// at is the flaw in survey k, and whether it is there.
func (x Happening) at(k int, f flaw) (flaw, bool) {
	if k < x.From || x.To > 0 && k >= x.To {
		return f, false
	}
	share := 1.0
	if n := k - x.From + 1; x.Grows > 0 && n < x.Grows {
		share = float64(n) / float64(x.Grows)
	}
	if x.Cut > 0 && k >= x.Cut {
		share *= x.Left
	}
	switch f.kind {
	case Leak, Blockage, GateLeaking:
		f.size *= share
	default: // how far it is off being sound
		f.size = 1 + share*(f.size-1)
	}
	return f, share > 0
}
