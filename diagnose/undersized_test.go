package diagnose_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct/trade"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/route"
)

// The diameter that would do does, and so does the size to buy: with every duct that is to be replaced as
// wide as that the port gets its need. A wide hose on a narrow drop would not.
func TestTheDiameterThatWouldDoDoes(t *testing.T) {
	for _, x := range []struct {
		hose    string // as the page has it
		need    float64
		replace []string
	}{
		{"diameter: 110, length: 1.5", 0.45, []string{"hose-a", "drop-a"}},
		{"diameter: 80, length: 4", 0.22, []string{"hose-a"}},
	} {
		page := strings.Replace(kit.RuleShop, "into: drop-a, diameter: 110, length: 1.5", "into: drop-a, "+x.hose, 1)
		r := kit.RulesOf(t, page)
		r.Sys.Ports[0].Need = x.need
		res := r.Diagnose(r.Survey(kit.Sound, kit.RuleTaps, nil))
		require.Len(t, res.Faults, 1)
		f := res.Faults[0]
		require.Equal(t, fault.Undersized, f.Kind)

		wide := kit.RulesOf(t, page)
		for _, id := range []string{"hose-a", "drop-a"} {
			if d := &wide.Sys.Ducts[wide.Duct(id)]; d.Diameter < f.Severity.Value {
				d.Diameter = f.Severity.Value
			}
		}
		require.Len(t, res.TooSmall, 1)
		small := res.TooSmall[0]
		require.Equal(t, x.replace, small.Ducts)
		require.Contains(t, trade.Sizes(r.Sys.Units), small.Buy)
		require.True(t, small.Meets)
		require.GreaterOrEqual(t, small.Buy, f.Severity.Value*0.999)
		bought := kit.RulesOf(t, page)
		for _, id := range small.Ducts {
			bought.Sys.Ducts[bought.Duct(id)].Diameter = small.Buy
		}
		got := airflow.FlowOf(bought.Sys, 0, route.Alone(bought.M, 0))
		require.GreaterOrEqual(t, got, x.need)
		require.InEpsilon(t, got, small.Then.Value, 0.03)
		require.GreaterOrEqual(t, f.Fix.Gains[0].After.Value, x.need)
		require.InEpsilon(t, x.need, airflow.FlowOf(wide.Sys, 0, route.Alone(wide.M, 0)), 0.03)
		require.Less(t, f.Severity.Low, f.Severity.Value)
		require.Greater(t, f.Severity.High, f.Severity.Value)
		width := (f.Severity.High - f.Severity.Low) / f.Severity.Value
		require.Less(t, width, 0.15)
		require.Greater(t, width, 2*1.6*weigh.WiderForm/weigh.WiderPower, "what a wider duct brings is not known exactly, however well it was read")
	}
}
