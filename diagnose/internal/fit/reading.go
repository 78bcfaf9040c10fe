package fit

import (
	"math"
	"slices"
)

// ReadingSD is the standard deviation of what an observation should show.
func (s *Study) ReadingSD(f *Fit, i int) float64 {
	return s.shownSD(f, i, f.Fit.row(i, s.N), s.Observation[i].Fresh)
}

// WouldSD is that of what a wrong row should have shown, about y: its
// instrument errs as at y, not as at the value written.
func (s *Study) WouldSD(f *Fit, i int, y float64) float64 {
	o := &s.Observation[i]
	right := o.Valued(y, s.B.Survey.Readings[o.Reading].Quantity, s.M.Air.Density)
	row := slices.Clone(f.Fit.row(i, s.N))
	row[o.GainIx] = right.Gain
	return s.shownSD(f, i, row, right.Fresh*s.NoiseScale)
}

func (s *Study) shownSD(f *Fit, i int, row []float64, fresh float64) float64 {
	gz := make([]float64, len(f.Faults))
	for k := range gz {
		gz[k] = f.Fit.Jz.At(i, k)
	}
	return math.Hypot(math.Sqrt(s.Variance(f, row, gz)), fresh)
}

// DuctOf is the duct that an observation was taken in; -1: the collector.
func (s *Study) DuctOf(i int) int {
	return s.DuctAt(s.B.Survey.Readings[s.Observation[i].Reading].Point)
}

// DuctAt is the duct of a tap or a port; -1: of neither.
func (s *Study) DuctAt(at string) int {
	if d, _, ok := s.M.Sys.TapAt(at); ok {
		return d
	}
	if p, ok := s.M.Sys.PortNamed(at); ok {
		return s.M.Sys.Ports[p].Duct
	}
	return -1
}
