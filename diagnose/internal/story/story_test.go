package story

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/floats"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/observe"
)

// sites are places of a story whose odds are e^log before any survey.
func sites(log float64, kinds ...fault.Kind) []*fault.Site {
	var out []*fault.Site
	for i, k := range kinds {
		out = append(out, &fault.Site{Kind: k, Where: string(rune('a' + i)), Duct: i, Prior: math.Exp(log) * fault.ExpectedFaults / Breaks})
	}
	return out
}

// Sites are fitted by what they explain over their best run of surveys, with their prior,
// the best first: within so many nats of the best, no more than two dozen, and not what
// explains less than a nat; at the collector always, where something large happens.
func TestSitesWorthFitting(t *testing.T) {
	of := func(log float64, screens ...[]float64) []int {
		kinds := make([]fault.Kind, len(screens))
		x := &story{sites: sites(log, kinds...), first: 1, all: []*telling{nil, {}, {}, {}}}
		for i := 1; i < 4; i++ {
			for _, s := range screens {
				x.all[i].screen = append(x.all[i].screen, s[i-1])
			}
		}
		x.sites[len(x.sites)-1].Duct = -1
		return x.candidates()
	}
	none := []float64{0, 0, 0}
	require.Equal(t, []int{1, 0}, of(-2, []float64{3, -9, 5}, []float64{3, -1, 5}, []float64{-9, 0.9, -9}, none), "the best run, not the sum")
	require.Equal(t, []int{0}, of(-2, []float64{1.1, 0, 0}, []float64{1, 0, 0}, none))
	require.Equal(t, []int{0}, of(-7, []float64{1.1, 0, 0}, none))
	require.Empty(t, of(-7.2, []float64{1.1, 0, 0}, none), "under −6 nats with its prior")
	// the best at 10 with its prior: others down to 10 − 12 − 5
	require.Equal(t, []int{0, 1}, of(-9, []float64{19, 0, 0}, []float64{2.1, 0, 0}, []float64{1.9, 0, 0}, none))
	// at 14: down to 14 − 12 − 7, and the collector's, that explain nothing
	require.Equal(t, []int{0, 1, 3}, of(-9, []float64{23, 0, 0}, []float64{4.1, 0, 0}, []float64{3.9, 0, 0}, none))
	var many [][]float64
	for range 30 {
		many = append(many, []float64{5, 0, 0})
	}
	require.Len(t, of(-2, append(many, none)...), 24)
	x := &story{sites: sites(-2, fault.Leak), first: 0, all: []*telling{{screen: []float64{5}}}}
	require.Len(t, x.candidates(), 1)
	x.sites[0].Prior = 0
	require.Empty(t, x.candidates())
}

// The strongest of several places, by what their paths weigh together: there is what is
// likelier than seven in ten, and on in the surveys that its paths hold.
func TestTheStrongestPlace(t *testing.T) {
	usual := usualOf(fault.Leak)
	x := &story{sites: sites(-3, fault.Leak, fault.Leak, fault.Leak), first: 1, all: make([]*telling, 6)}
	for i := 1; i < 6; i++ {
		on := i >= 3
		look := func(gain float64) seen {
			if !on {
				return sound()
			}
			return shows(gain, usual.mean)
		}
		x.all[i] = &telling{looks: map[int]seen{0: look(4), 1: look(6), 2: sound()}}
	}
	e := x.strongest([]int{0, 1, 2})
	require.NotNil(t, e)
	require.Equal(t, 1, e.site)
	require.Greater(t, e.there, 0.999)
	require.InDeltaSlice(t, []float64{0, 0, 0, 1, 1, 1}, e.on, 0.02)
	require.InDelta(t, total(paths(x.looksOf(1), usual, 1, x.sites[1].Prior/fault.ExpectedFaults)), e.weight, 0.1, "the others weigh little beside it")
	// Two nats a survey for three surveys, tempered: 6/(1 + 0.7·2) = 2.5 nats.
	require.Len(t, e.like, 2)
	require.Equal(t, []int{1, 0}, []int{e.like[0].site, e.like[1].site})
	require.InDelta(t, math.Exp(2.5), e.like[0].share/e.like[1].share, 0.5)
	require.InDelta(t, 1, e.like[0].share+e.like[1].share, 0.01)
	require.Equal(t, []int{1, 0}, e.places())
	require.Nil(t, x.strongest(nil))
	require.Nil(t, x.strongest([]int{2}))

	// alone in one survey: its odds are what tells, e^(gain) of 4 % a survey, five surveys
	one := func(gain float64) *strand {
		y := &story{sites: sites(0, fault.Leak), first: 1, all: make([]*telling, 3)}
		y.sites[0].Prior = fault.ExpectedFaults
		y.all[1] = &telling{looks: map[int]seen{0: {known: true, gain: -20}}}
		y.all[2] = &telling{looks: map[int]seen{0: {known: true, gain: gain}}}
		return y.strongest([]int{0})
	}
	// 0.04·0.96·e^gain against 1: seven in ten from e^gain = 2.333/0.0384
	require.NotNil(t, one(math.Log(2.34/0.0384)))
	require.Nil(t, one(math.Log(2.32/0.0384)))
	require.InDelta(t, 0.8, one(math.Log(4/0.0384)).there, 1e-3)
}

// A severity milder than any worth telling is none: 2.3 standard deviations under its
// usual, at its worst; of a gate, which is the milder the more it is open, over it.
func TestWhatIsHardlyThere(t *testing.T) {
	at := func(k fault.Kind, first, last float64) bool {
		p := fault.Severities[k]
		return hardly(k, []path{{log: -9, first: bell{p.Mean, 1}, last: bell{p.Mean, 1}}, {log: 0, first: bell{p.Mean + first*p.Sd, 1}, last: bell{p.Mean + last*p.Sd, 1}}})
	}
	for _, x := range []struct {
		first, last float64
		mild        bool
	}{{-2.2, -2.2, false}, {-2.4, -2.4, true}, {-2.4, -2.2, false}, {-2.2, -2.4, false}, {2.4, 2.4, false}} {
		require.Equal(t, x.mild, at(fault.Leak, x.first, x.last), "%v", x)
		require.Equal(t, x.mild, at(fault.GateRestricted, -x.first, -x.last), "%v", x)
	}
}

// A severity has moved if it did by half of its z, and by twice what it is known to.
func TestSeveritiesThatMoved(t *testing.T) {
	sure := func(z float64) bell { return bell{z, 1e4} }
	for _, x := range []struct {
		k           fault.Kind
		first, last bell
		grew, fell  bool
	}{
		{fault.Leak, sure(0), sure(0.51), true, false}, {fault.Leak, sure(0), sure(0.49), false, false},
		{fault.Leak, sure(0.51), sure(0), false, true}, {fault.GateRestricted, sure(0), sure(0.6), false, true},
		{fault.GateRestricted, sure(0.6), sure(0), true, false},
		{fault.Leak, bell{0, 4}, bell{1.35, 4}, false, false}, // known to √(1/4 + 1/4) = 0.707
		{fault.Leak, bell{0, 4}, bell{1.45, 4}, true, false},
	} {
		grew, fell := moved(x.k, x.first, x.last)
		require.Equal(t, []bool{x.grew, x.fell}, []bool{grew, fell}, "%v", x)
	}
	// a hole of a share of its bore: 1.645 standard deviations of z about 4 %
	v := &fault.Variant{Kind: fault.Leak, Bore: 0.02}
	s := severityOf(v, bell{fault.Logit(0.04), 25}, 0)
	require.InDelta(t, 0.02*0.04, s.Value, 1e-9)
	require.InDelta(t, 0.02*fault.Logistic(fault.Logit(0.04)-1.645*0.2), s.Low, 1e-9)
	require.InDelta(t, 0.02*fault.Logistic(fault.Logit(0.04)+1.645*0.2), s.High, 1e-9)
	g := severityOf(&fault.Variant{Kind: fault.GateRestricted}, bell{0, 25}, 0)
	require.Less(t, g.Low, 0.5)
	require.Greater(t, g.High, 0.5)
}

// What is said of an episode: places by their share of its chance, its own first, the
// others up to eight; the moment it ended, unless it lasts; and how bad it was last.
func TestWhatIsSaidOfAnEpisode(t *testing.T) {
	v := func(site int) *fault.Variant { return &fault.Variant{Site: site, Kind: fault.Leak, Bore: 0.02} }
	kinds := make([]fault.Kind, 12)
	x := &story{sites: sites(0, kinds...), first: 1, all: make([]*telling, 5)}
	for i := range x.all {
		x.all[i] = &telling{base: &fit.Fit{}}
	}
	x.all[2].base.Faults = []*fault.Variant{v(3), v(0)}
	x.all[3].base.Faults = []*fault.Variant{v(3)}
	e := &strand{site: 0, there: 0.9, paths: []path{{from: 2, to: 3, log: 0, first: bell{-3, 400}, last: bell{-2, 400}}}, like: []likeness{{1, 0.5}, {0, 0.3}, {2, 0.2}}}
	got := x.episode(e)
	require.Equal(t, "a", got.Where)
	require.InDelta(t, 0.27, got.Probability, 1e-12)
	require.Equal(t, []string{"b", "c"}, []string{got.Alike[0].Where, got.Alike[1].Where})
	require.InDelta(t, 0.45, got.Alike[0].Probability, 1e-12)
	require.InDelta(t, 0.9, got.Together, 1e-12)
	require.Equal(t, Moment{2, 2, 2}, got.From)
	require.Equal(t, Moment{3, 3, 3}, *got.To)
	require.InDelta(t, 0.02*fault.Logistic(-2), got.Severity.Value, 1e-9)
	require.True(t, got.Grew)
	of := func(e *strand, i int) *fault.Variant {
		v, _ := x.variantOf(e, i)
		return v
	}
	require.Equal(t, x.all[2].base.Faults[1], of(e, 4))
	require.Nil(t, of(e, 1))
	require.Nil(t, of(&strand{site: 7}, 4))

	e.paths[0].to, e.like = 5, nil
	for i := range 12 {
		e.like = append(e.like, likeness{i, 0.1})
	}
	got = x.episode(e)
	require.Nil(t, got.To, "it lasts")
	require.Len(t, got.Alike, 8)
	require.InDelta(t, 0.9, got.Together, 1e-12, "no more than that it is there at all")
}

// Two episodes meet if they are there in one survey and may be in one duct.
func TestEpisodesThatMeet(t *testing.T) {
	x := &story{sites: sites(0, fault.Leak, fault.Leak, fault.Leak, fault.Leak)}
	x.sites[2].Duct, x.sites[3].Duct = 0, -1
	of := func(on []float64, at ...int) *strand {
		e := &strand{on: on}
		for _, i := range at {
			e.like = append(e.like, likeness{i, 1})
		}
		return e
	}
	early, late := []float64{1, 0.5, 0.2}, []float64{0, 0.5, 1}
	a := of(early, 0)
	require.True(t, x.meets(a, of(late, 2)), "another site of that duct")
	require.True(t, x.meets(a, of(late, 1, 2)))
	require.False(t, x.meets(a, of(late, 1)))
	require.False(t, x.meets(a, of([]float64{0, 0.4, 1}, 2)))
	require.False(t, x.meets(of([]float64{1, 0.4, 0}, 0), of(late, 2)))
	require.False(t, x.meets(a, a), "itself")
	require.False(t, x.meets(of(early, 3), of(late, 3)), "the collector is no duct")
}

// A story is told with the faults of each survey beside one another: taking an episode
// holds it where it is on, and leaving it takes it out again.
func TestTakingAndLeavingAnEpisode(t *testing.T) {
	r, k := taught(t)
	b := []*observe.Bound{boundOf(t, r, kit.Sound), boundOf(t, r, kit.LeakIn("hose-b", 1, 8e-4)), boundOf(t, r, kit.LeakIn("hose-b", 1, 8e-4))}
	x, err := tellStory(t.Context(), k, b, make([][]int, 3), 1)
	require.NoError(t, err)
	require.Len(t, x.found, 1)
	e := x.found[0]
	require.Equal(t, "hose-b", x.sites[e.site].Where)
	for i := 1; i < 3; i++ {
		require.Len(t, x.all[i].base.Faults, 1)
		require.Greater(t, x.all[i].base.Evidence, x.all[i].plain.Evidence+10)
		x.leave(i, e)
		require.Empty(t, x.all[i].base.Faults)
		require.InDelta(t, x.all[i].plain.Evidence, x.all[i].base.Evidence, 0.5)
	}
	require.NoError(t, x.hold(t.Context(), []*strand{e}))
	require.Len(t, x.all[1].base.Faults, 1)
	require.NoError(t, x.hold(t.Context(), nil))
	require.Same(t, x.all[1].plain, x.all[1].base)
	// at first look and fitted, the hole explains most; what says nothing explains nothing
	x.screen(x.all[1])
	require.NoError(t, x.hold(t.Context(), nil))
	x.screen(x.all[1])
	var list []int
	first, best := 0, 0
	for i := range x.sites {
		list = append(list, i)
		require.GreaterOrEqual(t, x.all[1].screen[i], -2.0)
		if x.all[1].screen[i] > x.all[1].screen[first] {
			first = i
		}
	}
	require.Equal(t, "hose-b", x.sites[first].Where)
	require.Greater(t, x.all[1].screen[first], 20.0)
	require.Contains(t, x.all[1].screen, -2.0, "no idea lies there")
	x.look(1, list)
	for i := range x.sites {
		s := x.all[1].looks[i]
		require.True(t, s.known, x.sites[i].Where)
		if s.gain > x.all[1].looks[best].gain {
			best = i
		}
		require.Equal(t, x.all[1].at[i] == nil, s.about == bell{} && s.gain <= -3, "%s %s: a severity that is no fault's", x.sites[i].Kind, x.sites[i].Where)
	}
	require.Equal(t, e.site, best)
	require.InEpsilon(t, x.all[1].at[best].Severity(x.all[1].looks[best].about.mean), 8e-4, 0.2)
	x.all[1].base.Status = fit.Failed
	x.all[1].screen, x.all[1].looks = nil, map[int]seen{}
	x.look(1, list)
	x.screen(x.all[1])
	require.Empty(t, x.all[1].looks)
	require.InDelta(t, -2*float64(len(list)), floats.Sum(x.all[1].screen), 1e-9, "of what could not be fitted nothing is said")
	x.all[1].base.Status = fit.Settled

	e.on[2] = 0.49
	require.NoError(t, x.hold(t.Context(), []*strand{e}))
	require.Len(t, x.all[1].base.Faults, 1)
	require.Empty(t, x.all[2].base.Faults, "it is likelier gone")

	none, err := tellStory(t.Context(), k, b[:1], make([][]int, 1), 1)
	require.NoError(t, err)
	require.Nil(t, none, "there is nothing but the reference")
}
