package fit

import (
	"math"
	"slices"

	"lostair/diagnose/internal/observe"
)

// ReadingSD is the standard deviation of what an observation should show.
func (s *Study) ReadingSD(f *Fit, i int) float64 {
	return s.shownSD(f, i, f.Fit.row(i, s.N), s.Observation[i].Fresh)
}

// Would is what a wrong row should have shown, of which h is predicted, and how well
// that is known: its instrument errs as at that value, not as at the one written.
func (s *Study) Would(f *Fit, i int, h float64) (y, sd float64) {
	o := &s.Observation[i]
	valued := func(y float64) observe.Observation {
		return o.Valued(y, s.B.Survey.Readings[o.Reading].Quantity, s.M.Air.Density)
	}
	y = h
	if o.Off == 0 {
		y -= f.At.Theta[o.GainIx] * o.Gain
		y += f.At.Theta[o.GainIx] * valued(y).Gain
	}
	right := valued(y)
	row := slices.Clone(f.Fit.row(i, s.N))
	row[o.GainIx] = right.Gain
	return y, s.shownSD(f, i, row, right.Fresh*s.NoiseScale)
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
