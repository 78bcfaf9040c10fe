package fit

import (
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/internal/numeric"
)

// A large survey is one whose covariance would take longer to factor than its
// readings to predict. It is kept and factored by branches.

// Large says whether the study is of a large survey.
func (s *Study) Large() bool { return s.Lost != nil && len(s.Observation) > ThinAbove }

// Thinned says whether the study is of those readings of a large survey that were kept.
func (s *Study) Thinned() bool { return s.Lost != nil && !s.Large() }

// Stopped says whether work may end: whoever asked has gone.
func (s *Study) Stopped() bool { return s.Stop != nil && s.Stop() }

// settledLarge is settledGain for a large survey: beside what its readings say for
// or against a fault the rest is small.
const (
	settledLarge   = 0.7
	settledThinned = 0.05 // and for the readings kept of one
)

func (s *Study) settled(how Settings) float64 {
	switch {
	case how.Enough > 0:
		return how.Enough
	case s.Large() && !how.exact:
		return settledLarge
	case s.Lost != nil:
		return settledThinned
	}
	return settledGain
}

// factorPatches factors S from what each branch shares and few directions in
// which they hang together: dense it would be of all readings by all readings.
func (s *Study) factorPatches(f *Fit, d *Detail) bool {
	d.noiseScale = false
	s.part(d)
	m, wide := d.parts.All.Dims()
	by := s.PriorScale * math.Sqrt(s.Pr.Scale)
	p := numeric.Patches{Diag: make([]float64, m), Plus: mat.NewDense(m, wide+len(f.Faults), nil)}
	for i := range m {
		p.Diag[i] = d.Noise[i] * s.NoiseScale * s.NoiseScale
		to := p.Plus.RawRowView(i)
		floats.AddScaled(to[:wide], by, d.parts.All.RawRowView(i))
		for k, x := range f.Faults {
			to[wide+k] = x.Usual().Sd * d.Jz.At(i, k)
		}
	}
	for k, list := range d.parts.Inside {
		if len(list) == 0 {
			continue
		}
		block := mat.NewSymDense(len(list), nil)
		block.ScaleSym(by*by, d.parts.Rest[k])
		p.At, p.Block = append(p.At, list), append(p.Block, block)
	}
	if d.jv != nil {
		p.Minus = mat.DenseCopyOf(d.jv)
		p.Minus.Scale(s.PriorScale, p.Minus)
	}
	return d.Chol.FactorizePatches(p)
}

// part brings d.parts up to the rows of derivatives.
func (s *Study) part(d *Detail) {
	if d.parts != nil && d.sharedRows == d.Rows {
		return
	}
	defer func() { d.sharedRows = d.Rows }()
	if ref := d.ref; ref != nil && ref != d && ref.parts != nil && ref.sharedRows == d.Rows {
		d.parts, d.jv = ref.parts, ref.jv
		return
	}
	d.parts = d.Rows.Factors()
	if s.Pr.V != nil {
		d.jv = d.Rows.Taught(s.Pr.V)
	}
}

// Patches are the observations of each branch by which the covariance of a large survey
// was factored; nil: it was not.
func (d *Detail) Patches() [][]int {
	if d.parts == nil {
		return nil
	}
	return d.parts.Inside
}

// Light drops what of a fit's linearisation is large and only its screen needs.
func (f *Fit) Light() {
	if f.Fit == nil {
		return
	}
	d := *f.Fit
	d.parts, d.jv, d.Rows, d.sharedRows, d.Chol = nil, nil, nil, nil, numeric.Cholesky{}
	f.Fit = &d
}

// IsLight says whether that is so.
func (f *Fit) IsLight() bool { return f.Fit != nil && f.Fit.parts == nil }
