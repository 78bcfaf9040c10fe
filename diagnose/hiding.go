package diagnose

import (
	"context"
	"math"

	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/plan"
)

// hiding says how small a fault of each kind the readings of a survey would
// show, by the same calculation as a plan: what is smaller may hide in a system
// that looks sound. Readings that are left out of the diagnosis count nothing.
func hiding(ctx context.Context, pl *plan.Planner, b *observe.Bound, checks []Check, g *search.Search) ([]plan.Shown, error) {
	if g.Tells != nil { // a large survey has been looked at so
		pl.Told(func(i int) float64 { return g.Tells[g.Vid[g.Sites[i].Variants[0]]] })
		return pl.Shows(), nil
	}
	wrong := WrongRowsOf(checks)
	pl.Sound()
	st := pl.S.M.NewState()
	for k, c := range b.Configs {
		if st.Solve(&pl.S.Coef, c.Config) != nil {
			continue
		}
		st.Prepare()
		first := len(pl.Offers)
		for i := range b.Observation {
			o := &b.Observation[i]
			if o.Cfg != k || wrong[o.Rows[0]] {
				continue
			}
			sp := plan.SpotToRead{Q: b.Survey.Readings[o.Reading].Quantity, Probe: o.Probe}
			pl.Offers = append(pl.Offers, pl.Offer(st, plan.NextConfig{Cfg: c.Config, Open: c.Open}, sp, k, math.Abs(o.Gain), o.Fresh))
		}
		pl.Foresee(pl.Offers[first:])
	}
	for i := range pl.Offers {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		pl.Take(i)
	}
	return pl.Shows(), nil
}

// WrongRowsOf are the rows that are set aside as wrong.
func WrongRowsOf(checks []Check) map[int]bool {
	out := map[int]bool{}
	for _, c := range checks {
		for _, r := range c.Reading.Rows {
			out[r] = out[r] || c.Wrong
		}
	}
	return out
}
