package diagnose_test

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
	"lostair/readings"
	"lostair/readings/units"
)

// edgeCase is a made-up sound plant of a few ports, whose survey or page is
// then spoilt.
type edgeCase struct {
	seed uint64
	sys  *duct.System
	rows []readings.Row
	opt  diagnose.Options
	r    *rand.Rand
	made *trial.Case
}

func newEdgeCase(t *testing.T, seed uint64) *edgeCase {
	t.Helper()
	c, err := trial.NewCase(seed, soundly(3+int(seed%4), trial.No))
	require.NoError(t, err)
	return &edgeCase{seed, c.System, slices.Clone(c.Survey.Rows), diagnose.Options{}, rand.New(rand.NewPCG(seed, 5)), c}
}

func soundly(ports int, baseline trial.Either) trial.Options {
	return trial.Options{Ports: ports, Sound: true, Wrong: trial.No, Baseline: baseline, Quick: true, Style: survey.Normal}
}

// set gives a row another value.
func (c *edgeCase) set(i int, v float64) { c.rows[i].Value, c.rows[i].Typed = v, "" }

func (c *edgeCase) diagnose(t *testing.T) *diagnose.Result {
	t.Helper()
	r, err := diagnose.Diagnose(context.Background(), c.sys, reloaded(t, c.rows, c.sys.Units), c.opt)
	require.NoError(t, err)
	holds(t, r)
	return r
}

// reloaded is a survey of rows by way of a file.
func reloaded(t *testing.T, rows []readings.Row, u units.System) *readings.Survey {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, readings.Write(&b, rows, u))
	s, list := readings.Load(&b, "edge.csv", u)
	require.NoError(t, list.Err())
	return s
}

func copied(t *testing.T, s *duct.System) *duct.System {
	t.Helper()
	out, list := systemfile.Load(systemfile.Marshal(s), "edge.yaml")
	require.NoError(t, list.Err())
	return out
}

// sure lists the faults that a result asserts with a probability of at least
// nine in ten; of a sound plant each is a confident error.
func sure(r *diagnose.Result) string {
	var out []string
	for _, f := range r.Faults {
		if f.Kind == fault.Leak && slices.Contains(r.Doubts, fault.Doubt{Kind: fault.HugeHole, Where: f.Where}) {
			continue // an open branch that the page lacks is a hole, and it is asked after
		}
		if f.Kind != fault.Undersized && f.Kind != fault.ReadingWrong && f.Together >= 0.9 {
			out = append(out, fmt.Sprintf("%s %s %.2f", f.Kind, f.Where, f.Together))
		}
	}
	return strings.Join(out, ", ")
}

// Rates over more plants than a test takes: go test ./diagnose -run 'One|Wrong|Missing|Contradictory|Repeats|Baseline' -v -args -plants 60
var edgePlants = flag.Uint64("plants", 0, "how many plants each test of the inference's edges spoils; 0: a few")

// wrongs spoils so many plants in turn and counts confident errors.
func wrongs(t *testing.T, plants uint64, most int, spoil func(t *testing.T, c *edgeCase) bool) {
	t.Helper()
	enough := kit.Some(2, int(plants)) // LOSTAIR_LONG spoils all of them
	if n := *edgePlants; n > 0 {
		most, plants, enough = int(n/30), n, int(n)
	} else {
		plants = min(plants, uint64(enough+1))
	}
	var tally edgeTally
	for seed := uint64(1); seed <= plants && tally.n < enough; seed++ {
		c := newEdgeCase(t, seed)
		if !spoil(t, c) {
			continue
		}
		r := c.diagnose(t)
		tally.add(r)
		if s := sure(r); s != "" {
			t.Logf("plant %d: surely %s", seed, s)
			assert.True(t, beside(r), "plant %d: surely %s, and not a word what else it may be", seed, s)
		}
		if r.Verdict == diagnose.Unclear {
			assert.NotZero(t, len(r.Next)+len(r.Doubts), "plant %d: unclear, and not a word what to check", seed)
		}
	}
	t.Log(tally)
	if tally.n == enough {
		t.Log("more plants with LOSTAIR_LONG=1 or -args -plants")
	}
	require.Positive(t, tally.n)
	require.LessOrEqual(t, tally.sure, most, "of %d plants", tally.n)
}

// beside says that a result names what else would explain all readings.
func beside(r *diagnose.Result) bool {
	return slices.Contains(r.Doubts, fault.Doubt{Kind: fault.BaselineAnother})
}

// edgeTally counts what is said of sound plants of which something else is wrong.
type edgeTally struct{ n, sure, beside, faults, clear, unclear, told int }

func (y *edgeTally) add(r *diagnose.Result) {
	y.n++
	y.sure += one(sure(r) != "")
	y.beside += one(sure(r) != "" && beside(r))
	y.faults += one(slices.ContainsFunc(r.Faults, aFault))
	y.clear += one(r.Verdict == diagnose.Clear)
	y.unclear += one(r.Verdict == diagnose.Unclear)
	y.told += one(r.Verdict == diagnose.Unclear && slices.ContainsFunc(r.Doubts, func(d fault.Doubt) bool {
		return d.Kind != fault.NoBaseline && d.Kind != fault.OffTheList
	}))
}

func aFault(f diagnose.Fault) bool {
	return f.Kind != fault.Undersized && f.Kind != fault.ReadingWrong
}

func one(is bool) int {
	if is {
		return 1
	}
	return 0
}

func (y edgeTally) String() string {
	return fmt.Sprintf("%d plants: a fault surely in %d, in %d of these with what else it may be, at all in %d; clear %d, unclear %d, of these told what to check %d", y.n, y.sure, y.beside, y.faults, y.clear, y.unclear, y.told)
}

// One reading can't say what is wrong.
func TestOneReading(t *testing.T) {
	wrongs(t, 12, 0, func(_ *testing.T, c *edgeCase) bool {
		c.rows = c.rows[c.r.IntN(len(c.rows)):][:1]
		return true
	})
}

// An instrument whose error is only a share of what it shows does not know zero for
// certain: a drop that draws no air is not sound, and every probability is a number.
func TestInstrumentWithoutAFloor(t *testing.T) {
	r := kit.RulesOf(t, strings.Replace(kit.RuleShop, "of_reading: 1%, floor: 3 Pa}", "of_reading: 1%}\n  - {id: clamp, measures: current, of_reading: 2%}", 1))
	for _, rows := range []string{
		"all,A2,static_pressure,-500,Pa,gauge\nall,B2,static_pressure,0,Pa,gauge\nall,M,static_pressure,-900,Pa,gauge\n",
		"all,A2,static_pressure,-300,Pa,gauge\nall,B2,static_pressure,-300,Pa,gauge\nall,M,static_pressure,-500,Pa,gauge\nall,fan,motor_current,8,A,clamp\n",
	} {
		survey, problems := readings.Load(strings.NewReader("open,point,quantity,value,unit,instrument\n"+rows), "floor.csv", units.Metric)
		require.NoError(t, problems.Err())
		res, err := diagnose.Diagnose(t.Context(), r.Sys, survey, diagnose.Options{})
		require.NoError(t, err)
		require.False(t, math.IsNaN(res.Sound) || math.IsNaN(res.Unlisted))
		require.NotEqual(t, diagnose.Clear, res.Verdict, kit.Said(res))
	}
}

// No reading at all is refused, as a file and as a Survey built in Go.
func TestNoReadings(t *testing.T) {
	c := newEdgeCase(t, 1)
	_, list := readings.Load(strings.NewReader("open,point,quantity,value\n"), "none.csv", units.Metric)
	require.ErrorContains(t, list.Err(), "no readings")
	_, err := diagnose.Diagnose(context.Background(), c.sys, &readings.Survey{File: "none.csv"}, diagnose.Options{})
	require.ErrorContains(t, err, "none.csv: there are no readings")
}

// Each thing read twice, the second time about half the first.
func TestContradictoryReadings(t *testing.T) {
	kit.Long(t, "readings that contradict each other")
	wrongs(t, 3, 0, func(_ *testing.T, c *edgeCase) bool {
		for i := range len(c.rows) {
			c.rows = append(c.rows, c.rows[i])
			c.set(len(c.rows)-1, c.rows[i].Value*(0.4+0.2*c.r.Float64()))
		}
		return true
	})
}

// Every reading off by a factor of its own, e^±1 as a standard deviation.
func TestAllReadingsWrong(t *testing.T) {
	kit.Long(t, "surveys that are wrong all over")
	wrongs(t, 3, 0, func(t *testing.T, c *edgeCase) bool {
		for i := range c.rows {
			c.set(i, c.rows[i].Value*math.Exp(c.r.NormFloat64()))
		}
		return true
	})
}

// Ten thousand times the same figure is one figure written often: it must
// neither take long nor outweigh the rest.
func TestManyRepeats(t *testing.T) {
	wrongs(t, 8, 0, func(_ *testing.T, c *edgeCase) bool {
		x := c.rows[c.r.IntN(len(c.rows))]
		for range 10_000 {
			c.rows = append(c.rows, x)
		}
		return true
	})
}

// A baseline of another system, with the same ids and every duct a quarter
// wider or narrower.
func TestBaselineOfAnotherSystem(t *testing.T) {
	wrongs(t, uint64(kit.Some(2, 4)), 0, func(t *testing.T, c *edgeCase) bool {
		other := copied(t, c.sys)
		for i := range other.Ducts {
			other.Ducts[i].Diameter *= 0.75 + 0.5*c.r.Float64()
		}
		x, err := trial.CaseOf(c.seed, other, soundly(0, trial.Yes))
		require.NoError(t, err)
		c.opt.Baselines = x.Baselines
		return true
	})
}

// A baseline whose ids are not in the system is an error that names them.
func TestBaselineOfOtherIDs(t *testing.T) {
	c := newEdgeCase(t, 1)
	other, err := trial.NewCase(99, soundly(9, trial.Yes))
	require.NoError(t, err)
	_, err = diagnose.Diagnose(context.Background(), c.sys, reloaded(t, c.rows, c.sys.Units), diagnose.Options{Baselines: other.Baselines})
	require.ErrorContains(t, err, "baseline.csv:")
	require.ErrorContains(t, err, "in the system file")
}

// One duct of the page is of another diameter than the duct in the shop.
func TestWrongDiameterOnThePage(t *testing.T) {
	wrongs(t, 10, 0, func(t *testing.T, c *edgeCase) bool {
		c.sys = copied(t, c.sys)
		c.sys.Ducts[c.r.IntN(len(c.sys.Ducts))].Diameter *= []float64{0.75, 0.8, 1.25, 1.33}[c.r.IntN(4)]
		require.NoError(t, c.sys.Finish().Err())
		return true
	})
}

// What diameter to measure is said by name.
func TestWrongDiameterIsNamed(t *testing.T) {
	c := newEdgeCase(t, 1)
	c.sys = copied(t, c.sys)
	hose := -1
	for i, d := range c.sys.Ducts {
		if d.ID == "glue-prep-hose" {
			hose = i
		}
	}
	require.GreaterOrEqual(t, hose, 0, "the made-up plant has changed; take another of its hoses")
	c.sys.Ducts[hose].Diameter *= 0.8
	require.NoError(t, c.sys.Finish().Err())
	r := c.diagnose(t)
	require.True(t, onPage(r, fault.AsBuilt, "glue-prep-hose"), "%v", r.Page)
}

// All that was read in one configuration was read with one gate more open
// than written.
func TestAnotherGateStoodOpen(t *testing.T) {
	told, n := 0, 0
	wrongs(t, 12, 0, func(t *testing.T, c *edgeCase) bool {
		gate := c.alone()
		if gate == "" || len(c.sys.Gates()) < 2 {
			return false
		}
		others := slices.DeleteFunc(c.sys.Gates(), func(g string) bool { return g == gate })
		really := []string{gate, others[c.r.IntN(len(others))]}
		slices.Sort(really)
		c.readWith(t, gate, really)
		n++
		if onPage(c.diagnose(t), fault.GateSetting, others[slices.IndexFunc(others, func(g string) bool { return slices.Contains(really, g) })]) {
			told++
		}
		return true
	})
	t.Logf("told which configuration it is: %d of %d", told, n)
	require.Greater(t, 2*told, n, "it is said which configuration it is")
}

// Where another gate turns everything over, the sound system is bent far from
// its page before it is given up; what was read otherwise is still found.
func TestAnotherGateFarFromTheRest(t *testing.T) {
	c := newEdgeCase(t, 59)
	require.Subset(t, c.sys.Gates(), []string{"disc", "fence-saw"}, "the made-up plant has changed; take another")
	c.readWith(t, "disc", []string{"disc", "fence-saw"})
	r := c.diagnose(t)
	require.True(t, onPage(r, fault.GateSetting, "fence-saw"), "%v", r.Page)
}

// onPage is whether a result names something as written down wrong.
func onPage(r *diagnose.Result, kind fault.PageKind, where string) bool {
	return slices.ContainsFunc(r.Page, func(w fault.Written) bool { return w.Kind == kind && w.Where == where && w.Together >= 0.3 })
}

// readWith reads all that is written with one gate open with other gates open.
func (c *edgeCase) readWith(t *testing.T, gate string, really []string) {
	for i := range c.rows {
		w := &c.rows[i]
		if w.Open.String() == gate && !w.Open.All {
			v, err := c.made.Read(readings.Open{Gates: really}, w.HoseOff, w.Point, w.Quantity, i)
			require.NoError(t, err)
			c.set(i, v)
		}
	}
}

// alone is a gate with which alone open much is read, "" if there is none.
func (c *edgeCase) alone() string {
	var alone []string
	n := map[string]int{}
	for _, w := range c.rows {
		if len(w.Open.Gates) == 1 && !w.Open.All {
			if n[w.Open.String()]++; n[w.Open.String()] == 3 {
				alone = append(alone, w.Open.String())
			}
		}
	}
	if len(alone) == 0 {
		return ""
	}
	return alone[c.r.IntN(len(alone))]
}

// The page lacks a branch that is there.
func TestMissingBranch(t *testing.T) {
	wrongs(t, 12, 0, func(t *testing.T, c *edgeCase) bool { return c.lose(t) })
}

// lose takes a branch and all that was read with it off the page; false if
// there is none that can go.
func (c *edgeCase) lose(t *testing.T) bool {
	s := copied(t, c.sys)
	var branches []int
	for i, d := range s.Ducts {
		if d.Port >= 0 && d.Into >= 0 && len(s.Ducts[d.Into].Children) > 1 {
			branches = append(branches, i)
		}
	}
	if len(branches) == 0 {
		return false
	}
	lost := branches[c.r.IntN(len(branches))]
	gone := []string{s.Ports[s.Ducts[lost].Port].ID}
	if g := s.Ducts[lost].Gate; g != "" {
		gone = append(gone, g)
	}
	for _, x := range s.Ducts[lost].Taps {
		gone = append(gone, x.ID)
	}
	c.sys = pruned(t, s, lost)
	c.rows = slices.DeleteFunc(c.rows, func(w readings.Row) bool {
		return slices.ContainsFunc(append(append([]string{w.Point}, w.Open.Gates...), w.HoseOff...), func(id string) bool { return slices.Contains(gone, id) })
	})
	return len(c.rows) > 0
}

// pruned is s without one duct and its port.
func pruned(t *testing.T, s *duct.System, lost int) *duct.System {
	down := func(i, gone int) int {
		if i > gone {
			return i - 1
		}
		return i
	}
	port := s.Ducts[lost].Port
	s.Ducts = slices.Delete(s.Ducts, lost, lost+1)
	s.Ports = slices.Delete(s.Ports, port, port+1)
	for i := range s.Ducts {
		s.Ducts[i].Children = nil
		s.Ducts[i].Into = down(s.Ducts[i].Into, lost)
	}
	for i := range s.Ports {
		s.Ports[i].Duct = down(s.Ports[i].Duct, lost)
	}
	require.NoError(t, s.Finish().Err())
	return copied(t, s)
}

// What would fit is what the gauge shows where nothing was written wrong, whatever its
// lasting error: that goes with what it shows, not with what was written.
func TestWhatWouldFitIsNearTheTruth(t *testing.T) {
	seen := 0
	for seed := uint64(1); seed <= 8; seed++ {
		c := newEdgeCase(t, seed)
		i := slices.IndexFunc(c.rows, func(r readings.Row) bool { return r.Quantity == units.StaticPressure })
		if i < 0 {
			continue
		}
		was := c.rows[i].Value
		for _, factor := range []float64{-1e4, 1e5} {
			c.set(i, factor*was)
			for _, f := range c.diagnose(t).Faults {
				if f.Kind == fault.ReadingWrong && f.Where == fmt.Sprintf("row %d", i+2) {
					seen++
					assert.InEpsilon(t, was, f.Severity.Value, 0.35, "seed %d, times %g", seed, factor)
				}
			}
		}
	}
	require.GreaterOrEqual(t, seen, 6)
}

// How well it is known what a wrong row should have shown does not go with what
// was written there.
func TestWhatWouldFitIsAsSureHoweverWrong(t *testing.T) {
	width := func(seed uint64, factor float64) (half float64, line string) {
		c := newEdgeCase(t, seed)
		i := slices.IndexFunc(c.rows, func(r readings.Row) bool { return r.Quantity == units.StaticPressure })
		if i < 0 {
			return 0, ""
		}
		c.set(i, factor*c.rows[i].Value)
		line = fmt.Sprintf("row %d", i+2)
		for _, f := range c.diagnose(t).Faults {
			if f.Kind == fault.ReadingWrong && f.Where == line {
				return (f.Severity.High - f.Severity.Low) / 2, line
			}
		}
		return 0, line
	}
	compared := 0
	for seed := uint64(1); seed <= 8; seed++ {
		little, _ := width(seed, 1.7)
		much, line := width(seed, 37)
		if little > 0 && much > 0 {
			compared++
			require.InEpsilon(t, little, much, 0.2, "seed %d %s", seed, line)
		}
	}
	require.Greater(t, compared, 2)
}
