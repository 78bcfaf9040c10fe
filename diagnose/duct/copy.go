package duct

import "slices"

// Copy is a system of which any part may be changed, and Finish called, while
// the one it was copied from is in use.
func (s *System) Copy() *System {
	c := *s
	c.Collector = s.Collector.copy()
	c.Ducts, c.Ports, c.Order = slices.Clone(s.Ducts), slices.Clone(s.Ports), slices.Clone(s.Order)
	c.Instruments, c.Machines, c.Settings = slices.Clone(s.Instruments), slices.Clone(s.Machines), slices.Clone(s.Settings)
	for i := range c.Ducts {
		d := &c.Ducts[i]
		d.Children, d.Taps, d.Fittings = slices.Clone(d.Children), slices.Clone(d.Taps), slices.Clone(d.Fittings)
	}
	for i := range c.Ports {
		c.Ports[i].Opening = another(c.Ports[i].Opening)
	}
	for i := range c.Machines {
		c.Machines[i].Ports = slices.Clone(c.Machines[i].Ports)
	}
	for i := range c.Settings {
		c.Settings[i].Gates = slices.Clone(c.Settings[i].Gates)
	}
	return &c
}

func (k Collector) copy() Collector {
	k.Curve, k.Whole, k.Order = slices.Clone(k.Curve), slices.Clone(k.Whole), slices.Clone(k.Order)
	k.Guess, k.Cyclone, k.Filter = another(k.Guess), another(k.Cyclone), another(k.Filter)
	return k
}

// another is what p points to, once more.
func another[T any](p *T) *T {
	if p == nil {
		return nil
	}
	v := *p
	return &v
}
