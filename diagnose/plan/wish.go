package plan

import (
	"context"
	"fmt"
	"math"

	"lostair/diagnose/internal/settings"
	"lostair/readings/units"
)

// Wish is what a round is to be like.
type Wish struct {
	Count   int     // most readings
	Minutes float64 // most minutes; 0: any
	Weak    string  // the port that gets too little; "": none is named
}

// choose picks readings within a wish, until ctx ends. What is complained of is read
// first.
func (pl *Planner) choose(ctx context.Context, w Wish) {
	left := math.Inf(1)
	if w.Minutes > 0 {
		left = w.Minutes
	}
	if n := pl.airAt(w.Weak); n >= 0 && w.Count > 0 {
		left -= pl.Offers[n].Stop.Minutes + MinutesGates
		pl.Take(n)
	}
	for len(pl.picked) < w.Count && ctx.Err() == nil {
		if len(pl.picked) < firstOfFan && left > MinutesMouth+MinutesGates && pl.pickOfFan() {
			left -= pl.Offers[pl.picked[len(pl.picked)-1]].Stop.Minutes + MinutesGates
			continue
		}
		minutes, ok := pl.pick(left)
		if !ok {
			return
		}
		left -= minutes
	}
}

// Own choices: from which share of a port's air on its being weak speaks for a
// typical fault in full, and what the others keep of their prior.
const (
	WeakFrom = 0.05
	WeakElse = 0.05
)

// suspect weighs the places of faults by what a typical fault there takes from a
// port that is said to be weak, its own gates open.
func (pl *Planner) suspect(port string) error {
	m := pl.S.M
	i, ok := m.Sys.PortNamed(port)
	if !ok {
		return m.Sys.NoPort(port)
	}
	pl.weak = port
	pl.Sound()
	x := settings.Nearest(m, i)
	c := NextConfig{Cfg: x.Cfg, Open: x.Open}
	st := m.NewState()
	if err := st.Solve(&pl.S.Coef, c.Cfg); err != nil {
		return fmt.Errorf("with %s open: %w", c.Open, err)
	}
	st.Prepare()
	probe, err := m.ProbeAt(m.Sys.Ports[i].ID, units.FlowRate)
	if err != nil {
		return err
	}
	o := pl.Offer(st, c, SpotToRead{Point: port, Q: units.FlowRate, Probe: probe}, 0, 0, 0)
	pl.weight = make([]float64, len(pl.Sites))
	for k := range pl.weight {
		takes := -o.d[k] / math.Max(o.Stop.Expected.Value, 1e-9)
		pl.weight[k] = WeakElse + (1-WeakElse)*min(max(takes/WeakFrom, 0), 1)
	}
	return nil
}

// airAt is the offer of the velocity at a port, its own gates open; -1: there is none.
func (pl *Planner) airAt(port string) int {
	m := pl.S.M
	i, ok := m.Sys.PortNamed(port)
	if !ok {
		return -1
	}
	own := settings.Nearest(m, i).Open.String()
	for n := range pl.Offers {
		if o := &pl.Offers[n]; o.key == own && o.Stop.Point == port && o.Stop.Quantity == units.MeanVelocity {
			return n
		}
	}
	return -1
}
