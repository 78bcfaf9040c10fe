package round

import (
	"context"
	"math"

	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/units"
)

// Meaning is a reading beside what sound systems show.
type Meaning struct {
	Row   readings.Row
	Sound fault.Interval // nine in ten sound systems, SI
	Off   int            // -2 far less, -1 less, 0 as it should, 1 more, 2 far more: of suction, air or drop, by size
}

// Means says what a row means by itself. A look means what it says.
func (r *Round) Means(ctx context.Context, row readings.Row) (Meaning, error) {
	q := []Question{{Row: row}}
	err := r.sound(ctx, q)
	return q[0].Means(row), err
}

// Means says what the answer to a question means, beside what the question says that
// sound systems show.
func (q *Question) Means(row readings.Row) Meaning {
	m := Meaning{Row: row, Sound: q.Sound}
	if row.Look != "" || !q.HasSound {
		return m
	}
	half := (m.Sound.High - m.Sound.Low) / 2
	over := math.Max(row.Value-m.Sound.High, 0) - math.Max(m.Sound.Low-row.Value, 0)
	if row.Quantity == units.StaticPressure && m.Sound.Value < 0 {
		over = -over
	}
	switch {
	case over > half:
		m.Off = 2
	case over > 0:
		m.Off = 1
	case over < -half:
		m.Off = -2
	case over < 0:
		m.Off = -1
	}
	return m
}
