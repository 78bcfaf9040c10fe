package fit_test

import (
	"bytes"
	"fmt"
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/screen"
	"lostair/diagnose/route"
)

// record is what fits come to, number by number.
type record struct {
	bytes.Buffer
	name string
}

func (r *record) put(what string, values ...float64) {
	fmt.Fprintf(r, "%s: %s:", r.name, what)
	for _, v := range values {
		fmt.Fprintf(r, " %.7g", v)
	}
	fmt.Fprintln(r)
}

func flag(list ...bool) []float64 {
	out := make([]float64, len(list))
	for i, b := range list {
		if b {
			out[i] = 1
		}
	}
	return out
}

// digests are three numbers that any change of a vector shows in.
func digests(x []float64) []float64 {
	out := make([]float64, 3)
	for k := range out {
		out[k] = floats.Dot(some(len(x), k), x)
	}
	return out
}

// fitted puts down where a fit ended and what is said by it.
func (r *record) fitted(s *fit.Study, what string, f *fit.Fit) {
	r.put(what+" ends", flag(f.Ok(), f.Settled(), f.GivenUp())...)
	if !f.Ok() {
		return
	}
	r.put(what+" evidence", f.Evidence, f.Fit.Quad, f.Fit.Left)
	r.put(what+" at", append(digests(f.At.Theta), f.At.Z...)...)
	r.put(what+" shows", digests(f.Fit.H)...)
	zs := len(f.Faults)
	r.put(what+" spread", s.Variance(f, some(s.N, 1), some(zs, 2)), s.CovarianceWith(f, some(s.N, 3), some(zs, 1))(some(s.N, 2), some(zs, 3)))
	for k := range f.Faults {
		z, sd := s.SeverityAt(f, k)
		r.put(what+" severity", z, sd)
	}
	for _, i := range []int{0, len(s.Observation) / 2, len(s.Observation) - 1} {
		y, sd := s.Would(f, i, 0.9*f.Fit.H[i])
		r.put(what+" reading", s.ReadingSD(f, i), y, sd)
	}
	cfg := s.B.Configs[len(s.B.Configs)-1].Config
	_, probes := route.Connected(s.M, cfg)
	probes = append(probes, s.Observation[0].Probe)
	for _, without := range []bool{false, true} {
		for _, e := range s.Estimates(s.M.NewState(), f, cfg, probes[max(len(probes)-3, 0):], without, nil) {
			r.put(what+" estimate", e.Mean, e.Sd)
		}
	}
	for _, by := range [][2]float64{{2, 1}, {1, 1.7}, {0.6, 1.2}} {
		e, ok := s.Rescaled(f, by[0], by[1])
		r.put(what+" rescaled", append(flag(ok), e)...)
	}
}

// study puts down the fits of a study: of the sound system, of its faults, of each alone, of wrong rows;
// from the prior mean, from far off, and where little can be gained.
func (r *record) study(s *fit.Study, h fit.Hypothesis) {
	off := s.Before()
	for i := range off.Theta {
		off.Theta[i] += 0.6 * math.Sin(float64(7*i))
	}
	off.Dual = nil
	for k, x := range []fit.Hypothesis{{}, {Faults: h.Faults}, {Faults: h.Faults[:1], Rows: h.Rows[:1]}, h} {
		if s.Large() && k%3 != 0 {
			continue
		}
		start := off.Clone()
		for _, v := range x.Faults {
			start.Z = append(start.Z, v.Usual().Mean+0.7)
		}
		first := s.Fit(x, s.Before())
		r.fitted(s, fmt.Sprint(k, " fit"), first)
		r.fitted(s, fmt.Sprint(k, " from afar"), s.FitFrom(x, start, fit.PatienceFar))
		if !first.Ok() || s.Large() {
			continue
		}
		s.Ref = nil
		r.fitted(s, fmt.Sprint(k, " linearised"), s.Linearised(x, start))
		r.fitted(s, fmt.Sprint(k, " again"), s.Linearised(x, first.At))
		r.fitted(s, fmt.Sprint(k, " below the best"), s.FitFrom(x, start, 1, fit.Settings{Floor: first.Evidence + 18}))
		r.fitted(s, fmt.Sprint(k, " in few steps"), s.FitFrom(x, start, fit.PatienceFar, fit.Settings{Enough: 0.5}))
		r.put(fmt.Sprint(k, " polished"), s.Polished(first), first.Evidence)
	}
}

// both puts down the fits of two surveys at once.
func (r *record) both(p *fit.Pair, faults []*fault.Variant, rows []*fit.Wrong) {
	for k, x := range []fit.Hypothesis{{}, {Faults: faults[:1]}, {Faults: faults, Rows: rows[:1]}, {Faults: faults, Rows: rows}} {
		f := p.Fit(x, p.Before())
		r.put(fmt.Sprint(k, " pair ends"), flag(f.Ok(), f.Settled())...)
		if !f.Ok() {
			continue
		}
		r.put(fmt.Sprint(k, " pair evidence"), f.Evidence, f.Score(), f.Fit.Left)
		r.put(fmt.Sprint(k, " pair at"), append(digests(f.At.Theta), f.At.Z...)...)
		r.put(fmt.Sprint(k, " pair shows"), append(digests(f.Fit.H), digests(f.Fit.R)...)...)
		r.put(fmt.Sprint(k, " pair spread"), p.Variance(f, some(p.N, 1), some(len(x.Faults), 2)))
		for i := range x.Faults {
			z, sd := p.SeverityAt(f, i%2, i)
			r.put(fmt.Sprint(k, " pair severity"), z, sd)
		}
		i, _, far := screen.Oddest(p.Study, f, nil)
		of, own := p.Of(i)
		r.put(fmt.Sprint(k, " pair oddest"), float64(of), float64(own), far, f.Fit.H[i])
	}
}

// wrongIn are mistakes of all sorts in a study's rows.
func wrongIn(s *fit.Study) []*fit.Wrong {
	o := s.Observation[1]
	return []*fit.Wrong{{Observation: 2, Drop: true, Cfg: -1, Log: -3},
		{Observation: 1, Y: 1.1 * o.Y, Gain: 1.1 * o.Gain, Fresh: 1.2 * o.Fresh, Cfg: -1, Log: -1},
		{Observation: 0, Cfg: (s.Observation[0].Cfg + 1) % len(s.States)},
		{Observation: 3, Cfg: s.Observation[3].Cfg, Total: true}}
}

// Fits of every sort come to what they came to when they were last looked at: those of
// few readings, of thinned and of large surveys, taught and untaught, with what a mistake
// lets loose, and of two surveys at once. That they are right is for the other tests;
// this one tells that something has changed. UPDATE_GOLDEN=1 writes them anew.
func TestFitsAreThoseOnRecord(t *testing.T) {
	r := &record{}
	for _, x := range []struct {
		name            string
		ports, readings int
		taught          bool
	}{{"few", 6, 60, false}, {"few, taught", 6, 60, true}, {"large, taught", 30, 250, true}} {
		whole, sparse, h := bothWays(t, x.ports, x.readings, x.taught)
		if x.readings < 100 {
			r.name = x.name + ", whole"
			r.study(whole, h)
		}
		r.name = x.name + ", sparse"
		if x.taught {
			r.study(sparse, h)
		}
	}
	x := newTaught(t, map[int]float64{5: -700})
	leaks := []*fault.Variant{x.fan(t)}
	for _, v := range fault.Sites(x.r.M) {
		if v.Kind == fault.Leak || v.Kind == fault.GateLeaking || v.Kind == fault.Blockage {
			leaks = append(leaks, v.Variants[0])
		}
	}
	for k, s := range x.s {
		r.name = fmt.Sprint("after a baseline ", k)
		r.study(s, fit.Hypothesis{Faults: []*fault.Variant{leaks[0], leaks[1], leaks[len(leaks)-1]}, Rows: wrongIn(s)})
		after, err := s.PriorAfter(s.Fit(fit.Hypothesis{}, s.Before()), x.l, x.before)
		require.NoError(t, err)
		_, cols := after.V.Dims()
		r.put("taught", append(digests(after.Mean), after.Scale, float64(cols))...)
		for c := range cols {
			col := make([]float64, len(after.Mean))
			for i := range col {
				col[i] = after.V.At(i, c)
			}
			r.put("taught column", floats.Dot(col, col))
		}
	}
	loose := newTaught(t, nil).s[0]
	letLoose(loose, 0.05, 0.1, 4)
	r.name = "let loose"
	r.study(loose, fit.Hypothesis{Faults: leaks[:2], Rows: wrongIn(loose)})
	r.name = "layout"
	for _, s := range x.s {
		var at []float64
		for _, o := range s.Observation {
			at = append(at, float64(o.TapIx), float64(o.AxisIx), float64(o.GainIx))
		}
		r.put("places", at...)
	}

	p := fit.NewPair(x.s[0], x.s[1], x.before)
	timed := []*fault.Variant{leaks[0].In(fault.Before), leaks[1].In(fault.Always), leaks[2].In(fault.After)}
	r.name = "pair"
	r.both(p, timed, p.Rows(1, wrongIn(x.s[1])))
	p.PriorScale, p.NoiseScale = 1.4, 1.2
	r.name = "pair, scaled"
	r.both(p, timed, p.Rows(1, wrongIn(x.s[1])))

	kit.OnRecord(t, "testdata/fits.txt", r.String())
}
