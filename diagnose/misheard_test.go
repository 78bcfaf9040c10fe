package diagnose_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/trial"
	"lostair/readings"
	"lostair/readings/units"
)

// misheard is a case of another model's in which something was written down wrong.
type misheard struct {
	sys  *duct.System
	csv  []byte
	kind fault.PageKind // of the cause; its place
	at   string
	base []byte // the earlier survey, where it is the one that was spoilt
}

// ways spoil what was written down; nil where that can't be done to a case.
var ways = map[string]func(c *trial.Case) *misheard{
	"gate": func(c *trial.Case) *misheard { // one setting, written with a second gate that stood shut
		gates := c.System.Gates()
		from, second := gates[0], gates[len(gates)-1]
		n := 0
		csv := rows(c.SurveyCSV, func(f []string, col map[string]int) {
			if f[col["open"]] == from {
				f[col["open"]], n = from+"+"+second, n+1
			}
		})
		if n < 2 || from == second {
			return nil
		}
		return &misheard{sys: c.System, csv: csv, kind: fault.GateSetting, at: second}
	},
	"column": func(c *trial.Case) *misheard { // pressures in mmH2O, written as Pa
		n := 0
		csv := rows(c.SurveyCSV, func(f []string, col map[string]int) {
			if f[col["unit"]] == "Pa" {
				v, _ := strconv.ParseFloat(f[col["value"]], 64)
				f[col["value"]], n = fmt.Sprintf("%.1f", v/9.80665), n+1
			}
		})
		if n < 5 {
			return nil
		}
		return &misheard{sys: c.System, csv: csv, kind: fault.Instrument, at: "pressure"}
	},
	"size": func(c *trial.Case) *misheard { // the last drop, a size wider on the page than built
		page := reread(c.System)
		i := slices.IndexFunc(page.Ducts, func(d duct.Duct) bool { return len(d.Children) == 0 && d.Port >= 0 })
		page.Ducts[i].Diameter *= 1.25
		return &misheard{sys: reread(page), csv: c.SurveyCSV, kind: fault.AsBuilt, at: page.Ducts[i].ID}
	},
	"zero": func(c *trial.Case) *misheard { // one manometer behind taps and Pitot tube, its zero off
		n := 0
		csv := rows(c.SurveyCSV, func(f []string, col map[string]int) {
			if f[col["unit"]] == "Pa" {
				v, _ := strconv.ParseFloat(f[col["value"]], 64)
				f[col["value"]], n = fmt.Sprintf("%.1f", v+math.Copysign(40, v)), n+1
			}
		})
		if n < 8 {
			return nil
		}
		return &misheard{sys: c.System, csv: csv, kind: fault.Instrument}
	},
	"taps": func(c *trial.Case) *misheard { // two taps taken for one another
		a, b := apart(c)
		if a == "" {
			return nil
		}
		csv := rows(c.SurveyCSV, func(f []string, col map[string]int) {
			switch at := &f[col["point"]]; *at {
			case a:
				*at = b
			case b:
				*at = a
			}
		})
		return &misheard{sys: c.System, csv: csv, kind: fault.TapSwapped, at: a + "+" + b}
	},
	"season": func(c *trial.Case) *misheard { // a baseline in warmer air: every pressure less by one share
		n := 0
		csv := rows(c.BaselineCSV, func(f []string, col map[string]int) {
			if f[col["unit"]] == "Pa" && f[col["quantity"]] != "pressure_drop" {
				v, _ := strconv.ParseFloat(f[col["value"]], 64)
				f[col["value"]], n = fmt.Sprintf("%.1f", 0.92*v), n+1
			}
		})
		if n < 8 {
			return nil
		}
		return &misheard{sys: c.System, csv: c.SurveyCSV, kind: fault.WrongBaseline, at: "baseline.csv", base: csv}
	},
}

// apart are two taps that were read in one setting and showed plainly different
// suctions, as the system lists them; none: "".
func apart(c *trial.Case) (a, b string) {
	var taps []string
	for i := range c.System.Ducts {
		for _, t := range c.System.Ducts[i].Taps {
			taps = append(taps, t.ID)
		}
	}
	shown := map[string]float64{}
	for _, r := range c.Survey.Readings {
		if r.Quantity == units.StaticPressure && slices.Contains(taps, r.Point) {
			shown[r.Open.String()+" "+r.Point] = r.Value
		}
	}
	for i, a := range taps {
		for _, b := range taps[i+1:] {
			for _, r := range c.Survey.Readings {
				x, y := shown[r.Open.String()+" "+a], shown[r.Open.String()+" "+b]
				if x != 0 && y != 0 && math.Abs(x-y) > 0.2*math.Abs(x) {
					return a, b
				}
			}
		}
	}
	return "", ""
}

// reread is a system as its file has it.
func reread(s *duct.System) *duct.System {
	out, bad := systemfile.Load(systemfile.Marshal(s), "page.yaml")
	if bad.Err() != nil {
		panic(bad.Err())
	}
	return out
}

// rows changes the rows of a readings file.
func rows(csv []byte, change func(f []string, col map[string]int)) []byte {
	lines := strings.Split(strings.TrimRight(string(csv), "\n"), "\n")
	col := map[string]int{}
	for i, name := range strings.Split(lines[0], ",") {
		col[name] = i
	}
	for i := range lines[1:] {
		f := strings.Split(lines[i+1], ",")
		change(f, col)
		lines[i+1] = strings.Join(f, ",")
	}
	return []byte(strings.Join(lines, "\n") + "\n")
}

// What was written down wrong is named in cases of another model's, sound ones and
// faulty; few here, more in the long run, which prints the shares.
func TestWhatWasWrittenWrongIsNamed(t *testing.T) {
	least := map[string]float64{"gate": 0.6, "column": 0.8, "size": 0, "zero": 0.6, "taps": 0.6, "season": 0.2} // of the air only what instruments show
	later := []string{"zero", "taps", "season"}                                                                 // known beside an earlier survey
	for _, name := range append([]string{"gate", "column", "size"}, later...) {
		earlier := trial.No
		if slices.Contains(later, name) {
			earlier = trial.Yes
		}
		seen, named, sure, few := 0, 0, 0, 1
		if name == "season" {
			few = 3 // named too seldom to show in one
		}
		for seed := uint64(1); seen < kit.Some(few, 40) && seed < 400; seed++ {
			c, err := trial.NewCase(seed, trial.Options{Ports: 4, Baseline: earlier, US: trial.No, Wrong: trial.No})
			if err != nil {
				continue
			}
			x := ways[name](c)
			if x == nil {
				continue
			}
			s, bad := readings.Load(bytes.NewReader(x.csv), "survey.csv", x.sys.Units)
			require.NoError(t, bad.Err())
			bases := c.Baselines
			if x.base != nil {
				b, bad := readings.Load(bytes.NewReader(x.base), "baseline.csv", x.sys.Units)
				require.NoError(t, bad.Err())
				bases = []*readings.Survey{b}
			}
			r, err := diagnose.Diagnose(context.Background(), x.sys, s, diagnose.Options{Baselines: bases})
			require.NoError(t, err)
			seen++
			if slices.ContainsFunc(r.Page, func(w fault.Written) bool {
				return w.Kind == x.kind && (w.Where == x.at || x.kind == fault.Instrument) && max(w.Probability, w.Together) >= 0.5
			}) {
				named++
			}
			if surelyWrong(r, c.Truth.Faults, x.at) {
				sure++
			}
		}
		t.Logf("%s: %d of %d named, a fault that isn't there is sure in %d; 40 with LOSTAIR_LONG=1", name, named, seen, sure)
		require.Positive(t, seen, name)
		require.GreaterOrEqual(t, float64(named), least[name]*float64(seen), name)
		if slices.Contains(later, name) {
			require.LessOrEqual(t, float64(sure), 0.1*float64(seen), name)
		}
	}
}

// surelyWrong is whether a fault is as good as certain that is neither there nor
// where the mistake is.
func surelyWrong(r *diagnose.Result, truth []trial.Fault, at string) bool {
	for _, f := range r.Faults {
		if !diagnose.OfSystem(f) || f.Together < 0.9 {
			continue
		}
		real := f.Where == at
		for _, m := range append([]fault.Candidate{f.Candidate}, f.Alike...) {
			for _, x := range truth {
				real = real || m.Kind.String() == string(x.Kind) && m.Where == x.Where
			}
		}
		if !real {
			return true
		}
	}
	return false
}
