package repair_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/internal/kit"
	"lostair/diagnose/repair"
	"lostair/diagnose/trial"
)

// kinds of fault that a repair may mend.
var mendable = []string{trial.Leak, "bin", trial.Blockage, trial.GateRestricted, trial.GateLeaking, trial.FilterLoaded, trial.FanWeak}

// usefulGain is the flow that some port must have gained for a repair to count
// as one of use, as a share.
const usefulGain = 0.05

// tally is what comparisons came to.
type tally struct {
	cases, useful, improved, still, wrongly, ports, inside, others, falls, near, biggest int
}

func (y *tally) String() string {
	pc := func(a, b int) string { return fmt.Sprintf("%d/%d (%.0f %%)", a, b, 100*float64(a)/float64(max(b, 1))) }
	return fmt.Sprintf("improved %s; wrongly %s; gains within 90 %% interval %s; false falls %s; largest gain within 3 %% %s",
		pc(y.improved, y.useful), pc(y.wrongly, y.still), pc(y.inside, y.ports), pc(y.falls, y.others), pc(y.near, y.biggest))
}

func (y *tally) gains(r *repair.Repair, a, b trial.Dated) {
	for _, p := range r.Ports {
		truth := b.Alone[p.Port] / a.Alone[p.Port]
		y.ports++
		if truth >= p.Ratio.Low && truth <= p.Ratio.High {
			y.inside++
		}
		if truth > 0.995 {
			y.others++
			if p.Ratio.High < 0.99 {
				y.falls++
			}
		}
	}
}

func mended(t *testing.T, seed uint64, kind string, stays string) *trial.History {
	h, err := trial.NewHistory(seed, trial.HistoryOptions{Surveys: 3, At: 1, Event: trial.Mend, Kind: kind, Stays: stays})
	if err != nil {
		require.True(t, strings.Contains(err.Error(), "no place") || strings.Contains(err.Error(), "port"), err)
		return nil
	}
	return h
}

// A repair of each kind is called one that improved, the gain of each port lies
// within its interval, nothing is said to have improved where nothing was done,
// and no other port is said to have lost.
func TestARepairIsJudged(t *testing.T) {
	n := kit.CasesOr(t, 1)
	var all tally
	for k, kind := range mendable {
		var y tally
		for i := range n {
			stays := ""
			if i%4 == 3 {
				stays = mendable[2+i/4%2]
			}
			h := mended(t, uint64(3000+100*k+i), kind, stays)
			if h == nil {
				continue
			}
			s := kit.SurveysOf(h)
			yes, err := repair.Compare(context.Background(), h.System, s[0], s[1], repair.Options{})
			require.NoError(t, err)
			no, err := repair.Compare(context.Background(), h.System, s[1], s[2], repair.Options{})
			require.NoError(t, err)
			y.gains(yes, h.Surveys[0], h.Surveys[1])
			y.gains(no, h.Surveys[1], h.Surveys[2])
			most, at := 0.0, ""
			for p, q := range h.Surveys[1].Alone {
				if g := q/h.Surveys[0].Alone[p] - 1; g > most || g == most && p < at {
					most, at = g, p
				}
			}
			if most >= usefulGain {
				y.useful++
				if yes.Improved >= 0.95 {
					y.improved++
				}
			}
			for _, p := range yes.Ports {
				if most >= usefulGain && p.Port == at {
					y.biggest++
					if d := p.Ratio.Value - 1 - most; d > -0.03 && d < 0.03 {
						y.near++
					}
				}
			}
			y.still++
			if no.Improved >= 0.95 {
				y.wrongly++
			}
			if testing.Verbose() {
				t.Logf("%s %d %s %.3g (and %q): most %+.1f %% at %s; improved %.3f / %.3f", kind, i, h.Mended.Where, h.Mended.Severity, stays, 100*most, at, yes.Improved, no.Improved)
			}
		}
		t.Logf("%s: %s", kind, y.String())
		all.add(&y)
	}
	t.Logf("all: %s", all.String())
	require.GreaterOrEqual(t, float64(all.improved), 0.9*float64(all.useful)-1)
	require.LessOrEqual(t, float64(all.wrongly), max(0.05*float64(all.still), 1))
	require.GreaterOrEqual(t, float64(all.inside), 0.8*float64(all.ports))
	require.LessOrEqual(t, float64(all.falls), 0.05*float64(all.others))
}

func (y *tally) add(x *tally) {
	y.cases, y.useful, y.improved, y.still = y.cases+x.cases, y.useful+x.useful, y.improved+x.improved, y.still+x.still
	y.wrongly, y.ports, y.inside = y.wrongly+x.wrongly, y.ports+x.ports, y.inside+x.inside
	y.others, y.falls, y.near, y.biggest = y.others+x.others, y.falls+x.falls, y.near+x.near, y.biggest+x.biggest
}
