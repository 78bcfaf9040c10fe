package duct

import (
	"sort"

	"lostair/readings/problem"
)

// Finish makes a System that was built in Go ready for use: it fills in what
// follows from the rest (Children, Port, Order, the order of the collector's
// parts, standard air) and makes the checks that a file would meet. A problem
// has a line only where the System's parts have a Pos. Call it again after
// changing ids or the way ducts hang together.
func (s *System) Finish() problem.List {
	if s.Air.Standard {
		s.Air = standardAir()
	}
	out := s.check(blankSheet(s))
	out.Sort()
	return out
}

// check makes all checks and fills in what follows.
func (s *System) check(sh *sheet) problem.List {
	c := &checker{s: s, sh: sh}
	s.ownNeeds()
	c.sizes()
	c.parts()
	c.ids()
	c.tree()
	c.settings()
	s.sortTaps()
	s.index = newIndex(s)
	c.gross()
	if c.out.Err() == nil {
		s.shareNeeds()
	}
	return c.out
}

// Unpacked makes a System ready for use that package kept has filled.
func (s *System) Unpacked() error { return s.Finish().Err() }

func (s *System) sortTaps() {
	for i := range s.Ducts {
		t := s.Ducts[i].Taps
		sort.SliceStable(t, func(a, b int) bool { return t[a].Distance < t[b].Distance })
	}
}

// blankSheet is the sheet of a System that was built in Go.
func blankSheet(s *System) *sheet {
	sh := &sheet{
		curve:       make([]marks, len(s.Collector.Curve)),
		order:       make([]mark, len(s.Collector.Order)),
		ducts:       make([]ductMarks, len(s.Ducts)),
		ports:       make([]portMarks, len(s.Ports)),
		instruments: make([]marks, len(s.Instruments)),
		machines:    make([]marks, len(s.Machines)),
	}
	for i := range s.Ducts {
		d, m := &s.Ducts[i], &sh.ducts[i]
		m.row = d.Pos
		m.fittings = make([]marks, len(d.Fittings))
		m.taps = make([]marks, len(d.Taps))
		for j := range d.Taps {
			m.taps[j].row = d.Taps[j].Pos
		}
	}
	for i := range s.Ports {
		sh.ports[i].row = s.Ports[i].Pos
	}
	for i := range s.Instruments {
		sh.instruments[i].row = s.Instruments[i].Pos
	}
	sh.collector.row = s.Collector.Pos
	return sh
}
