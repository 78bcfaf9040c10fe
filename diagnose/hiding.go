package diagnose

import (
	"context"
	"math"
)

// hiding says how small a fault of each kind the readings of a survey would
// show, by the same reckoning as a plan: what is smaller may hide in a system
// that looks sound. Readings that are left out of the diagnosis count nothing.
func hiding(ctx context.Context, pl *planner, b *bound, checks []Check) ([]Shown, error) {
	wrong := wrongRowsOf(checks)
	pl.sound()
	st := pl.s.m.NewState()
	for k, c := range b.configs {
		if st.Solve(&pl.s.coef, c.Config) != nil {
			continue
		}
		st.Prepare()
		first := len(pl.offers)
		for i := range b.obs {
			o := &b.obs[i]
			if o.cfg != k || wrong[o.rows[0]] {
				continue
			}
			sp := spotToRead{q: b.survey.Readings[o.reading].Quantity, probe: o.probe}
			pl.offers = append(pl.offers, pl.offer(st, nextConfig{cfg: c.Config, open: c.open}, sp, k, math.Abs(o.gain), o.fresh))
		}
		pl.foresee(pl.offers[first:])
	}
	for i := range pl.offers {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		pl.take(i)
	}
	return pl.shows(), nil
}

// wrongRowsOf are the rows that are set aside as wrong.
func wrongRowsOf(checks []Check) map[int]bool {
	out := map[int]bool{}
	for _, c := range checks {
		for _, r := range c.Reading.Rows {
			out[r] = out[r] || c.Wrong
		}
	}
	return out
}
