package score

import (
	"math"
	"slices"
	"sort"
	"strings"

	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
)

// Figures are what is counted over many cases.
type Figures struct {
	Groups []Group // "all cases" first, "incl. unseen" last
	Kinds  []Group // main kinds, each scored by itself
	Side   []Side  // undersized, reading-wrong
}

// Group is the figures over one group of cases.
type Group struct {
	Name string
	Tally
}

// Tally counts over cases. What each column means is in the comment of Of.
type Tally struct {
	Cases, Failed                           int
	False, FalseOrUnclear, Detect           Share
	Top1, Top3, Top1Alike, Top3Alike, Place Share
	All, Listed                             Share // of cases with several faults
	Named                                   Share // of true faults: asserted by name
	MRR, Brier, LogLoss                     Mean  // a case
	Bins                                    Bins  // candidates
	SevIn, FlowIn                           Share
	SevErr, FlowErr                         []float64
	Asserted                                Share // observable cases with a real fault asserted, alone or in its group
	Together                                Bins  // asserted groups
	Sure                                    Share // groups given 0.9 or more: real
	Size                                    Mean  // members of an asserted group
	Seconds                                 Mean
}

// Of compares answers with truths, pair by pair; a nil answer is a failure.
//
// Columns: false = sound cases with a main fault asserted (~false: or the
// verdict unclear); detect = asserted or unclear on cases with an observable
// fault; top-1, top-3 = a true fault (kind and place) among the first one or
// three candidates of the main kinds (~: or among the first eight of the alike
// of one of these); place = right place, any kind; all = of cases with several
// observable faults, all asserted (all.1: given 0.1 or more); Brier, logl =
// summed over a case's candidates, an unlisted true fault counting as 0 (0.001
// in the logarithm); ECE = all listed candidates in ten bins, ECE.1 = those
// given 0.1 or more; sev90, flow90 = 90 % intervals that hold the truth; given
// = observable cases in which a real fault is asserted, alone or in its group;
// tog = calibration error of together, sure = groups given 0.9 or more that are
// real, size = members of an asserted group.
func Of(truths []*trial.Truth, answers []*Answer) *Figures {
	out := &Figures{}
	for _, g := range groups {
		t := Group{Name: g.name}
		for i := range truths {
			if g.pick(truths[i]) {
				t.add(truths[i], answers[i], g.all, "")
			}
		}
		out.Groups = append(out.Groups, t)
	}
	for _, k := range trial.MainKinds() {
		t := Group{Name: k}
		for i := range truths {
			if slices.ContainsFunc(truths[i].Faults, func(f trial.Fault) bool { return f.Kind == k }) {
				t.add(truths[i], answers[i], false, k)
			}
		}
		out.Kinds = append(out.Kinds, t)
	}
	for _, k := range []string{trial.Undersized, trial.ReadingWrong} {
		out.Side = append(out.Side, side(k, truths, answers))
	}
	return out
}

var groups = []struct {
	name string
	pick func(*trial.Truth) bool
	all  bool // unobservable faults count too
}{
	{"all cases", func(*trial.Truth) bool { return true }, false},
	{"single fault", func(t *trial.Truth) bool { return t.Mains() == 1 }, false},
	{"two or more", func(t *trial.Truth) bool { return t.Mains() > 1 }, false},
	{"with baseline", func(t *trial.Truth) bool { return t.Baseline }, false},
	{"no baseline", func(t *trial.Truth) bool { return !t.Baseline }, false},
	{"sparse survey", func(t *trial.Truth) bool { return t.Style == survey.Sparse }, false},
	{"normal survey", func(t *trial.Truth) bool { return t.Style == survey.Normal }, false},
	{"rich survey", func(t *trial.Truth) bool { return t.Style == survey.Rich }, false},
	{"3-5 ports", func(t *trial.Truth) bool { return t.Ports <= 5 }, false},
	{"6-12 ports", func(t *trial.Truth) bool { return t.Ports >= 6 && t.Ports <= 12 }, false},
	{"13+ ports", func(t *trial.Truth) bool { return t.Ports > 12 }, false},
	{"incl. unseen", func(*trial.Truth) bool { return true }, true},
}

// look is one case as it is scored.
type look struct {
	t       *trial.Truth
	a       *Answer
	kind    string // scored by itself; "": all
	cands   []Named
	said    []Named // asserted, main
	truths  map[id]bool
	shown   []*trial.Fault // true, main, observable (or all)
	wanted  []*trial.Fault // of these, of the kind
	alike   map[id][]id
	unclear bool
}

func newLook(t *trial.Truth, a *Answer, all bool, kind string) *look {
	l := &look{t: t, a: a, kind: kind, truths: map[id]bool{}, alike: map[id][]id{}}
	for i := range t.Faults {
		f := &t.Faults[i]
		if !f.Main() {
			continue
		}
		l.truths[id{f.Kind, f.Where}] = true
		if f.Observable || all {
			l.shown = append(l.shown, f)
			if kind == "" || f.Kind == kind {
				l.wanted = append(l.wanted, f)
			}
		}
	}
	if a == nil {
		return l
	}
	l.unclear = a.Verdict == "unclear"
	for _, c := range a.Candidates {
		if mainKind(c.Kind) {
			l.cands = append(l.cands, c)
		}
	}
	sort.SliceStable(l.cands, func(i, j int) bool { return l.cands[i].Probability > l.cands[j].Probability })
	for _, c := range a.Faults {
		if mainKind(c.Kind) {
			l.said = append(l.said, c)
		}
	}
	for _, list := range [][]Named{a.Faults, a.Candidates} {
		for i := range list {
			if len(list[i].Alike) > 0 {
				l.alike[list[i].id()] = ids(list[i].Alike, 8)
			}
		}
	}
	return l
}

func ids(list []Named, most int) []id {
	var out []id
	for i := range list {
		if i < most {
			out = append(out, list[i].id())
		}
	}
	return out
}

func (y *Tally) add(t *trial.Truth, a *Answer, all bool, kind string) {
	l := newLook(t, a, all, kind)
	y.Cases++
	if a == nil {
		y.Failed++
	} else if a.Seconds > 0 {
		y.Seconds.add(a.Seconds)
	}
	alarm := len(l.said) > 0 || l.unclear
	wrongRow := slices.ContainsFunc(t.Faults, func(f trial.Fault) bool { return f.Kind == trial.ReadingWrong })
	switch {
	case len(l.truths) == 0 && !wrongRow:
		y.FalseOrUnclear.add(alarm)
		y.False.add(len(l.said) > 0)
	case len(l.truths) == 0:
	case len(l.shown) > 0:
		y.Detect.add(alarm)
	}
	y.localise(l)
	y.several(l)
	if a == nil {
		return
	}
	y.probabilities(l)
	y.severities(l)
	y.together(l)
	if kind == "" {
		y.flows(l)
	}
}

// localise ranks the candidates; a real fault that is not asked for does not
// stand in the way.
func (y *Tally) localise(l *look) {
	for _, f := range l.wanted {
		y.Named.add(slices.ContainsFunc(l.said, func(c Named) bool { return names(&c, f) }))
	}
	if len(l.wanted) == 0 {
		return
	}
	want := map[id]bool{}
	for _, f := range l.wanted {
		want[id{f.Kind, f.Where}] = true
	}
	var c []id
	var where string
	for i := range l.cands {
		k := l.cands[i].id()
		if l.truths[k] && !want[k] {
			continue
		}
		if len(c) == 0 {
			where = k.where
		}
		c = append(c, k)
	}
	hit := func(n int, wide bool) bool {
		for _, k := range c[:min(n, len(c))] {
			if want[k] || wide && slices.ContainsFunc(l.alike[k], func(x id) bool { return want[x] }) {
				return true
			}
		}
		return false
	}
	y.Top1.add(hit(1, false))
	y.Top3.add(hit(3, false))
	y.Top1Alike.add(hit(1, true))
	y.Top3Alike.add(hit(3, true))
	y.Place.add(len(c) > 0 && slices.ContainsFunc(l.wanted, func(f *trial.Fault) bool { return f.Where == where }))
	rr := 0.0
	if i := slices.IndexFunc(c, func(k id) bool { return want[k] }); i >= 0 {
		rr = 1 / float64(i+1)
	}
	y.MRR.add(rr)
}

func (y *Tally) several(l *look) {
	if len(l.shown) < 2 || l.kind != "" {
		return
	}
	all, listed := true, true
	for _, f := range l.shown {
		all = all && slices.ContainsFunc(l.said, func(c Named) bool { return names(&c, f) })
		listed = listed && slices.ContainsFunc(l.cands, func(c Named) bool { return names(&c, f) && c.Probability >= 0.1 })
	}
	y.All.add(all)
	y.Listed.add(listed)
}

func (y *Tally) probabilities(l *look) {
	var brier, loss float64
	seen := map[id]bool{}
	for i := range l.cands {
		k := l.cands[i].id()
		if seen[k] || l.kind != "" && k.kind != l.kind {
			continue
		}
		seen[k] = true
		p, real := min(max(l.cands[i].Probability, 0), 1), l.truths[k]
		q := min(max(p, 1e-3), 1-1e-3)
		if real {
			brier += (1 - p) * (1 - p)
			loss -= math.Log(q)
		} else {
			brier += p * p
			loss -= math.Log(1 - q)
		}
		y.Bins.add(p, real)
	}
	for i := range l.t.Faults {
		f := &l.t.Faults[i]
		if f.Main() && !seen[id{f.Kind, f.Where}] && (l.kind == "" || f.Kind == l.kind) {
			brier++
			loss -= math.Log(1e-3)
		}
	}
	y.Brier.add(brier)
	y.LogLoss.add(loss)
}

func (y *Tally) severities(l *look) {
	for i := range l.said {
		c := &l.said[i]
		for j := range l.t.Faults {
			f := &l.t.Faults[j]
			if !names(c, f) || l.kind != "" && f.Kind != l.kind || c.Severity == nil || math.IsNaN(c.Severity.Value) || math.IsNaN(f.Severity) {
				continue
			}
			y.SevErr = append(y.SevErr, math.Abs(c.Severity.Value-f.Severity)/math.Abs(f.Severity))
			y.SevIn.add(c.Severity.holds(f.Severity))
		}
	}
}

// together looks at the asserted groups.
func (y *Tally) together(l *look) {
	found := false
	for i := range l.said {
		c := &l.said[i]
		if l.kind != "" && c.Kind != l.kind {
			continue
		}
		real := l.truths[c.id()] || slices.ContainsFunc(c.Alike, func(x Named) bool { return l.truths[x.id()] })
		found = found || real
		p := min(max(c.Together, c.Probability, 0), 1)
		y.Together.add(p, real)
		if p >= 0.9 {
			y.Sure.add(real)
		}
		y.Size.add(float64(1 + len(c.Alike)))
	}
	if len(l.wanted) > 0 {
		y.Asserted.add(found)
	}
}

func (y *Tally) flows(l *look) {
	real := map[[2]string]float64{}
	for _, f := range l.t.Flows {
		for i, p := range f.Ports {
			real[[2]string{gatesKey(f.Gates), p}] = f.Flow[i]
		}
	}
	for _, p := range l.a.Ports {
		q, ok := real[[2]string{openKey(p.Open, l.t.Gates), p.Port}]
		if !ok || q < 1e-4 || math.IsNaN(p.Flow.Value) {
			continue
		}
		y.FlowErr = append(y.FlowErr, math.Abs(p.Flow.Value-q)/q)
		y.FlowIn.add(p.Flow.holds(q))
	}
}

// openKey names a configuration whatever the order of its gates.
func openKey(open string, all []string) string {
	switch open {
	case "all":
		return gatesKey(all)
	case "none":
		return ""
	}
	g := strings.Split(open, "+")
	for i := range g {
		g[i] = strings.TrimSpace(g[i])
	}
	return gatesKey(g)
}

func gatesKey(g []string) string {
	s := append([]string(nil), g...)
	slices.Sort(s)
	return strings.Join(s, "+")
}
