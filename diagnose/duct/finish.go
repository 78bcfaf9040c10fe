package duct

import (
	"sort"

	"lostair/diagnose/duct/keys"
	"lostair/readings/problem"
)

// Finish makes a System that was built in Go ready for use: it fills in what
// follows from the rest (Children, Port, Order, the order of the collector's
// parts, standard air) and makes the checks that a file would meet. A problem
// has a line only where the System's parts have a Pos. Call it again after
// changing ids or the way ducts hang together.
func (s *System) Finish() problem.List {
	if s.Air.Standard {
		s.Air = StandardAir()
	}
	out := s.FinishRead(blankSheet(s))
	out.Sort()
	return out
}

// FinishRead is Finish for a System that was read from a file, whose sheet says where
// each value stands. The problems are in no order.
func (s *System) FinishRead(sh *keys.Sheet) problem.List {
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
func blankSheet(s *System) *keys.Sheet {
	sh := &keys.Sheet{
		Curve:       make([]keys.Marks, len(s.Collector.Curve)),
		Order:       make([]keys.Mark, len(s.Collector.Order)),
		Ducts:       make([]keys.DuctMarks, len(s.Ducts)),
		Ports:       make([]keys.PortMarks, len(s.Ports)),
		Instruments: make([]keys.Marks, len(s.Instruments)),
		Machines:    make([]keys.Marks, len(s.Machines)),
	}
	for i := range s.Ducts {
		d, m := &s.Ducts[i], &sh.Ducts[i]
		m.Row = d.Pos
		m.Fittings = make([]keys.Marks, len(d.Fittings))
		m.Taps = make([]keys.Marks, len(d.Taps))
		for j := range d.Taps {
			m.Taps[j].Row = d.Taps[j].Pos
		}
	}
	for i := range s.Ports {
		sh.Ports[i].Row = s.Ports[i].Pos
	}
	for i := range s.Instruments {
		sh.Instruments[i].Row = s.Instruments[i].Pos
	}
	sh.Collector.Row = s.Collector.Pos
	return sh
}
