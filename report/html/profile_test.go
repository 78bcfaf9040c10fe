package html

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/readings/units"
	"lostair/report"
)

// The second line of the profiles says which of the faults it stands for, by the
// numbers that the page gives them and the places that the fit takes.
func TestSecondLineNamesItsFaults(t *testing.T) {
	d := pageful(t, 6, units.Metric)
	gate := fault.Candidate{Kind: fault.GateRestricted, Where: "saw", Probability: 0.8}
	hose := fault.Candidate{Kind: fault.Leak, Where: "planer-hose"}
	bin := fault.Candidate{Kind: fault.FanWeak, Where: "fan"}
	d.Faults = append(d.Faults, diagnose.Fault{Candidate: gate, Together: 0.8, Severity: fault.Interval{Value: 0.5, Low: 0.4, High: 0.6}, Dimension: units.Share})
	line := func(fitted ...fault.Candidate) (name, says, page string) {
		d.Fitted = fitted
		r := report.From(d, units.Metric)
		name, says = dashed(r, d, suspects(r))
		var b strings.Builder
		require.NoError(t, Write(&b, d, units.Metric))
		return name, says, b.String()
	}
	name, says, page := line(hose, gate)
	require.Equal(t, "with faults 1 and 2", name)
	require.Equal(t, "1 taken as a leak in duct planer-hose and 2 taken as gate saw not fully open", says)
	require.Contains(t, page, "with faults 1 and 2:</span> what fits the readings best, "+says)
	require.Contains(t, page, "</svg> with faults 1 and 2</span>", "each drawing names its lines")
	require.NotContains(t, page, "with the fault ")

	name, _, _ = line(hose)
	require.Equal(t, "with fault 1", name)
	name, says, _ = line(gate, bin)
	require.Equal(t, "with fault 2 and more", name)
	require.Contains(t, says, "fan")
	name, says, _ = line(gate, fault.Candidate{Kind: fault.Altered, Where: "planer-hose"})
	require.Equal(t, "with fault 2 and more", name)
	require.Contains(t, says, "other losses than written at planer-hose")
	name, _, _ = line(bin)
	require.Equal(t, "best fit", name)
	_, _, page = line()
	require.NotContains(t, page, `class="fit"`, "a line that is the sound one is not drawn twice")
}
