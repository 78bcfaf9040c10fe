package verified

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/handbook"
	"lostair/diagnose/verify"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/show"
)

const demoShop = "../../cmd/lostair/demo"

func demoVerified(t *testing.T, survey string) *verify.Report {
	t.Helper()
	sys, list := systemfile.LoadFile(filepath.Join(demoShop, "system.yaml"))
	require.NoError(t, list.Err())
	sys.Name = "Shop <script>alert(1)</script>"
	s, list := readings.LoadFile(filepath.Join(demoShop, survey), sys.Units)
	require.NoError(t, list.Err())
	v, err := verify.Verify(context.Background(), sys, []*readings.Survey{s}, verify.Options{})
	require.NoError(t, err)
	return v
}

func TestVerificationRenderersAgreeAndAreHarmless(t *testing.T) {
	for _, survey := range []string{"when-sound.csv", "readings.csv"} {
		d := demoVerified(t, survey)
		for _, u := range []units.System{units.Metric, units.US} {
			v := From(d, u)
			require.Equal(t, len(v.Lines), v.Passed+v.Failed+v.NotShown)
			var text, html, raw bytes.Buffer
			require.NoError(t, Text(&text, v, show.Style{Plain: true, Width: 80}))
			require.NoError(t, HTML(&html, d, u))
			require.NoError(t, JSON(&raw, v))
			for _, l := range strings.Split(text.String(), "\n") {
				require.LessOrEqual(t, len(l), 80, l)
			}
			require.NotContains(t, html.String(), "<script")
			for _, b := range []string{text.String(), html.String(), raw.String()} {
				require.NotContains(t, b, "NaN")
			}
			var again Verification
			require.NoError(t, json.Unmarshal(raw.Bytes(), &again))
			require.Equal(t, v.Lines, again.Lines)
		}
	}
}

func TestOutcomesAreJudgedByProbability(t *testing.T) {
	for _, l := range From(demoVerified(t, "readings.csv"), units.Metric).Lines {
		switch l.Outcome {
		case "pass":
			require.GreaterOrEqual(t, l.Holds, 0.95)
		case "fail":
			require.LessOrEqual(t, l.Holds, 0.05)
		default:
			require.Equal(t, "not shown", l.Outcome)
			require.Greater(t, l.Holds, 0.05)
			require.Less(t, l.Holds, 0.95)
		}
	}
}

func TestCarryWords(t *testing.T) {
	c := CarryNeed{Port: "saw", Slow: []SlowDuct{{"main", 14.2, 18, "m/s"}}}
	require.Contains(t, carryWords(c), "saw alone leaves dust lying in main (14.2). No three gates put that right")
	c.Clear = []string{"planer"}
	require.Contains(t, carryWords(c), "clear the main by opening planer.")
	c.Together, c.Short = []string{"floor"}, []string{"saw"}
	require.Contains(t, carryWords(c), "Open floor with it. Then saw gets less than needed")
}

// A plant of many ports is told briefly: what is amiss, and how many others there are.
func TestAVerificationOfALargePlantIsBrief(t *testing.T) {
	v := From(demoVerified(t, "readings.csv"), units.Metric)
	of := func(topic string) Line {
		lines := v.of(topic)
		require.NotEmpty(t, lines)
		return lines[0]
	}
	port, speed, suction := of("port-design"), of("carrying"), of("pressure")
	var gates []string
	for i := range 70 {
		gates = append(gates, fmt.Sprintf("g%d", i))
	}
	for i, g := range gates {
		x := port
		x.Where, x.Open, x.Outcome = "p"+g, g, []string{"pass", "fail"}[i%2]
		y := speed
		y.Open, y.Outcome = g, "pass"
		v.Lines = append(v.Lines, x, y)
		for range 4 {
			z := suction
			z.Open, z.Outcome = strings.Join(gates, "+"), "pass"
			v.Lines = append(v.Lines, z)
		}
		v.Carry = append(v.Carry, CarryNeed{Port: "p" + g, Slow: []SlowDuct{{Duct: "main", Velocity: 9}}, Together: gates[:2], Short: gates})
	}
	var text bytes.Buffer
	require.NoError(t, Text(&text, v, show.Style{Plain: true, Width: 80}))
	said := strings.Join(strings.Fields(text.String()), " ")
	require.Less(t, strings.Count(text.String(), "\n"), 350)
	require.NotContains(t, said, strings.Join(gates, " + "))
	require.NotContains(t, said, " pg0 10", "it passes")
	require.Contains(t, said, " pg1 10")
	for _, w := range []string{"more ports pass.", "carry the dust all the way", "more gates (--format html lists them)", "g0 + g1 + g2 + 67 more", "more suctions", "and 58 more get less than needed"} {
		require.Contains(t, said, w)
	}
}

// A fault that others look the same as is not named as if it alone could be.
func TestAFaultFoundNamesItsLike(t *testing.T) {
	f := report.Fault{Candidate: report.Candidate{Name: "gate saw not fully open", Probability: 0.39}, Together: 0.99, Do: "Look."}
	require.Equal(t, "Gate saw not fully open, 99 %: Look.", foundWords(f))
	f.Alike = []report.Candidate{{Name: "a blockage in the hose"}}
	require.Equal(t, "Gate saw not fully open or a blockage in the hose, 99 %: Look.", foundWords(f))
}

// A port is enough supplied where all of its interval is, as a verification has it.
func TestEnoughIsTheWholeInterval(t *testing.T) {
	p := report.Port{Need: 700, Flow: &show.Interval{Value: 707, Low: 690, High: 724}}
	require.Equal(t, report.Perhaps, p.State())
	p.Flow.Low = 700
	require.Equal(t, report.Enough, p.State())
	p.Flow.Low, p.Flow.High = 600, 699
	require.Equal(t, report.Short, p.State())
}

// The velocity that stands in is said in the reader's units, whatever the file's are.
func TestConveyingVelocityInTheReadersUnits(t *testing.T) {
	v := &verify.Report{Convey: handbook.ConveyOf(&duct.System{Units: units.US})}
	require.Contains(t, conveySource(v, units.US), "the usual where the system file states none: about", "the sentence has the value already")
	v.Convey.Main = 18
	require.Contains(t, conveySource(v, units.US), "of which 4000 fpm is the usual where")
	require.Contains(t, conveySource(v, units.Metric), "of which 20.3 m/s is the usual where")
	v.Convey = handbook.ConveyOf(&duct.System{Limits: duct.Limits{ConveyBranch: 18, ConveyMain: 17}})
	require.Equal(t, "by the system file", conveySource(v, units.US))
}
