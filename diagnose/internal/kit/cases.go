package kit

import (
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/plant"
	"lostair/diagnose/trial/survey"
	"lostair/diagnose/verify"
	"lostair/readings"
	"lostair/readings/units"
)

// FitOf fits a survey of the rules' shop with a slow fan by the hypothesis
// that its fan is slow, from a prior whose mean is off the page.
func FitOf(t *testing.T) (*fit.Study, *fit.Fit) {
	r := NewRules(t)
	b, bad := observe.Bind(r.M, r.Survey(FanAt(0.85), RuleTaps, nil))
	require.NoError(t, bad.Err())
	u := asbuilt.NewUnknowns(r.M)
	l := fit.NewLayout(u, b)
	pr := fit.Prior{Mean: make([]float64, l.N), Scale: 1}
	for i := range pr.Mean {
		pr.Mean[i] = 0.4 * math.Sin(float64(i))
	}
	s := fit.NewStudy(r.M, u, l, b, pr)
	var v *fault.Variant
	for _, x := range fault.Sites(r.M) {
		if x.Kind == fault.FanWeak {
			v = x.Variants[0]
		}
	}
	f := s.Fit(fit.Hypothesis{Faults: []*fault.Variant{v}}, fit.Point{Theta: append([]float64(nil), s.Pr.Mean...)})
	require.True(t, f.Ok() && f.Settled())
	return s, f
}

// RuleSearch is a search of a survey of the rules' shop, the sound system fitted.
func RuleSearch(t *testing.T, h Hurt) (*Rules, *search.Search, *doubt.Setup) {
	r := NewRules(t)
	b, bad := observe.Bind(r.M, r.Survey(h, RuleTaps, nil))
	require.NoError(t, bad.Err())
	u := asbuilt.NewUnknowns(r.M)
	l := fit.NewLayout(u, b)
	s := fit.NewStudy(r.M, u, l, b, fit.Prior{Mean: make([]float64, l.N), Scale: 1})
	g := search.NewSearch(s, fault.Sites(r.M), search.WrongRows(s))
	f := s.Fit(fit.Hypothesis{}, fit.Point{Theta: s.Pr.Mean})
	require.True(t, f.Ok())
	g.Sound, g.All = f, []*fit.Fit{f}
	return r, g, &doubt.Setup{M: r.M, U: u, L: l, Survey: b}
}

func PlantOf(t *testing.T, ports int, seed uint64) *trial.Case {
	c, err := trial.FaultyPlant(seed, ports, 5*ports)
	require.NoError(t, err)
	return c
}

// TrialStudy is a study of a made-up case with one large fault and no baseline.
func TrialStudy(t *testing.T, seed uint64) (*trial.Case, *fit.Study) {
	t.Helper()
	c, err := trial.NewCase(seed, trial.Options{Ports: 6, Wrong: trial.No, Baseline: trial.No, Quick: true})
	require.NoError(t, err)
	m, err := airflow.New(c.System, airflow.Options{})
	require.NoError(t, err)
	b, bad := observe.Bind(m, c.Survey)
	require.NoError(t, bad.Err())
	u := asbuilt.NewUnknowns(m)
	l := fit.NewLayout(u, b)
	return c, fit.NewStudy(m, u, l, b, fit.Prior{Mean: make([]float64, l.N), Scale: 1})
}

// LargeStudy is a study of a survey that is thinned, and what it is of.
func LargeStudy(t *testing.T) (*fit.Study, []*fault.Site) {
	c, err := trial.CaseOf(7, plant.New(7, 40, units.Metric), trial.Options{Readings: 300, Style: survey.Rich, Kinds: []string{"blockage"},
		Baseline: trial.No, Wrong: trial.No, Join: trial.MomentumLaw, Quick: true})
	require.NoError(t, err)
	m, err := airflow.New(c.System, airflow.Options{})
	require.NoError(t, err)
	s := Untaught(t, m, c.Survey)
	require.Greater(t, len(s.Observation), fit.ThinAbove)
	return s, fault.Sites(m)
}

// CasesOr is how many seeded cases a simulation looks at: few in every go test,
// LOSTAIR_CASES of them to measure.
func CasesOr(t *testing.T, few int) int {
	if n, err := strconv.Atoi(os.Getenv("LOSTAIR_CASES")); err == nil && n > 0 {
		return n
	}
	if testing.Short() {
		return max(few/4, 2)
	}
	return few
}

func SurveysOf(h *trial.History) []*readings.Survey {
	var out []*readings.Survey
	for _, d := range h.Surveys {
		out = append(out, d.Survey)
	}
	return out
}

// TrulyHolds says whether a line's demand is met in the true plant; false second
// result: the truth of it is not at hand.
func TrulyHolds(t *testing.T, c *trial.Case, l verify.Line) (bool, bool) {
	t.Helper()
	point, q := l.Where, units.FlowRate
	switch l.Topic {
	case verify.PortNeed, verify.PortDesign:
	case verify.TapPressure:
		q = units.Suction
	case verify.Carrying:
		q = units.MeanVelocity
		d, _ := c.System.DuctNamed(l.Where)
		switch x := &c.System.Ducts[d]; {
		case x.Port >= 0:
			point = c.System.Ports[x.Port].ID
		case len(x.Taps) > 0:
			point = x.Taps[0].ID
		default:
			return false, false
		}
	case verify.NoFault:
		return c.Truth.Sound, true
	default:
		return false, false
	}
	v, err := c.Exact(l.Open, nil, point, q)
	require.NoError(t, err)
	return v >= l.Least && (l.Most == 0 || v <= l.Most), true
}

func DemoSystem(t *testing.T) *duct.System {
	sys, list := systemfile.LoadFile(Root(t) + "/cmd/lostair/demo/system.yaml")
	require.Empty(t, list)
	return sys
}

// Root is the folder of the module.
func Root(t testing.TB) string {
	t.Helper()
	dir, err := os.Getwd()
	require.NoError(t, err)
	for {
		if _, err := os.Stat(filepath.Join(dir, "go.mod")); err == nil {
			return dir
		}
		up := filepath.Dir(dir)
		require.NotEqual(t, dir, up, "no go.mod above")
		dir = up
	}
}

// Long skips a test that takes long, and says what it is about, unless
// LOSTAIR_LONG is set, as it is in .ci/run.
func Long(t testing.TB, about string) {
	t.Helper()
	if os.Getenv("LOSTAIR_LONG") == "" {
		t.Skipf("%s takes long; LOSTAIR_LONG=1 runs it", about)
	}
}

// Some is how many cases a test of figures takes: many in the long run, else few.
func Some(few, many int) int {
	if os.Getenv("LOSTAIR_LONG") == "" {
		return few
	}
	return many
}
