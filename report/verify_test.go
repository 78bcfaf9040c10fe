package report

import (
	"bytes"
	"context"
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
)

func demoVerified(t *testing.T, survey string) *diagnose.Verified {
	t.Helper()
	sys, list := duct.LoadFile(filepath.Join(demoDir, "system.yaml"))
	require.NoError(t, list.Err())
	sys.Name = "Shop <script>alert(1)</script>"
	s, list := readings.LoadFile(filepath.Join(demoDir, survey), sys.Units)
	require.NoError(t, list.Err())
	v, err := diagnose.Verify(context.Background(), sys, []*readings.Survey{s}, diagnose.VerifyOptions{})
	require.NoError(t, err)
	return v
}

func TestVerificationRenderersAgreeAndAreHarmless(t *testing.T) {
	for _, survey := range []string{"when-sound.csv", "readings.csv"} {
		d := demoVerified(t, survey)
		for _, u := range []units.System{units.Metric, units.US} {
			v := FromVerified(d, u)
			require.Equal(t, len(v.Lines), v.Passed+v.Failed+v.NotShown)
			var text, html, raw bytes.Buffer
			require.NoError(t, VerificationText(&text, v, Style{Plain: true, Width: 80}))
			require.NoError(t, VerificationHTML(&html, d, u))
			require.NoError(t, VerificationJSON(&raw, v))
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
	for _, l := range FromVerified(demoVerified(t, "readings.csv"), units.Metric).Lines {
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
