package fit

import "math"

// SetAside is the factor on the variance of a row of which nothing is believed.
const SetAside = 1e10

// SetAside believes nothing of an observation from here on.
func (s *Study) SetAside(i int) { s.Observation[i].Fresh *= math.Sqrt(SetAside) }

// BaseNoise is the variance of what is new in each observation.
func (s *Study) BaseNoise(i int) float64 {
	o := &s.Observation[i]
	return o.Fresh*o.Fresh + ModelError*ModelError*o.Y*o.Y
}

// Noise is the same of a row read right and written wrong.
func (w *Wrong) Noise() float64 { return w.Fresh*w.Fresh + ModelError*ModelError*w.Y*w.Y }

// ModelError is what the model itself may be off from reading to reading, as a share.
const ModelError = 0.001
