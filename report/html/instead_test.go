package html

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/fault"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/samples"
	"lostair/report/show"
	"lostair/report/text"
)

// What is likelier than all else and no fault leads; flows that the readings
// can't tell are not shown beside it.
func TestNoFaultOfTheSystemLeads(t *testing.T) {
	d := samples.Unclear()
	still := fault.Doubt{Kind: fault.NoAirReading}
	sign := show.DoubtWords(still)
	d.Ports = samples.Clear().Ports
	d.Unlisted, d.Instead = 0.97, still
	d.Doubts = append(d.Doubts, still)
	r := report.From(d, units.Metric)
	require.Equal(t, sign, r.Instead)
	require.True(t, strings.HasSuffix(r.Summary, "most likely it is no fault of the system. "+sign))
	require.NotContains(t, r.Doubts, sign, "it is said once")
	var told strings.Builder
	require.NoError(t, text.Write(&told, r, show.Style{All: true}))
	text := strings.Join(strings.Fields(told.String()), " ")
	require.Contains(t, text, "no fault of the system, as said above")
	require.Contains(t, text, "It can't be said until what is said above")
	require.NotContains(t, text, "this result", "what faults would make of such readings is no result")
	require.Empty(t, portRows(d, r))
	var page strings.Builder
	require.NoError(t, Write(&page, d, units.Metric))
	require.Contains(t, page.String(), "It can&#39;t be said until what is said above", "the page says why there are no flows")
	require.NotContains(t, page.String(), "with the suspects", "nor does it draw them")

	d.Instead = fault.Doubt{}
	page.Reset()
	require.NoError(t, Write(&page, d, units.Metric))
	require.Contains(t, page.String(), "It can&#39;t be said apart from readings that fit nothing")

	d.Unlisted, d.Instead = 0.4, fault.Doubt{}
	r = report.From(d, units.Metric)
	require.Empty(t, r.Instead)
	require.Contains(t, r.Doubts, sign)
	require.NotEmpty(t, portRows(d, r))
}
