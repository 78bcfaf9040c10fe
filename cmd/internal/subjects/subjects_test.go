package subjects

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/expect"
	"lostair/diagnose/plan"
	"lostair/diagnose/repair"
	"lostair/diagnose/track"
	"lostair/diagnose/verify"
	"lostair/diagnose/whatif"
	"lostair/readings"
	"lostair/readings/repairs"
	"lostair/readings/units"
	"lostair/report/show"
)

// shop is the folder of the demo shop.
const shop = "../../lostair/demo"

// What is saved in one system of units is shown again in both as if it had just
// been computed: text, page and JSON, for every kind of result.
func TestSavedIsShownAsComputed(t *testing.T) {
	sys, list := systemfile.LoadFile(shop + "/system.yaml")
	require.NoError(t, list.Err())
	survey := func(file string) *readings.Survey {
		v, list := readings.LoadFile(file, sys.Units)
		require.NoError(t, list.Err())
		return v
	}
	ill, sound := survey(shop+"/readings.csv"), survey(shop+"/when-sound.csv")
	names, err := filepath.Glob(shop + "/history/*.csv")
	require.NoError(t, err)
	var history []*readings.Survey
	for _, f := range names {
		if filepath.Base(f) != repairs.File {
			history = append(history, survey(f))
		}
	}
	require.NotEmpty(t, history)
	ctx := t.Context()
	none := []readings.Open{{}}
	all := []readings.Open{{All: true}}

	r, err := diagnose.Diagnose(ctx, sys, ill, diagnose.Options{})
	require.NoError(t, err)
	shownAgain(t, "diagnose", &Diagnosed, r)
	r, err = diagnose.Diagnose(ctx, sys, ill, diagnose.Options{Baselines: []*readings.Survey{sound}})
	require.NoError(t, err)
	shownAgain(t, "with a baseline", &Diagnosed, r)
	shownAgain(t, "unfinished", &Diagnosed, diagnose.Unfinished(nil, sys, ill, nil))
	v, err := verify.Verify(ctx, sys, []*readings.Survey{ill}, verify.Options{})
	require.NoError(t, err)
	shownAgain(t, "verify", &Checked, v)
	h, err := track.Follow(ctx, sys, history, track.Options{})
	require.NoError(t, err)
	shownAgain(t, "track", &Followed, h)
	before, after := survey(shop+"/history/2025-08-04.csv"), survey(shop+"/history/2025-09-04.csv")
	if os.Getenv("LOSTAIR_LONG") != "" { // takes as long as all the others together
		before, after = sound, ill
	}
	c, err := repair.Compare(ctx, sys, before, after, repair.Options{Place: "main", Leak: true})
	require.NoError(t, err)
	shownAgain(t, "repair", &Compared, c)
	w, err := whatif.Compare(ctx, sys, []string{"filter=2x", "sander-drop.material=smooth"}, all)
	require.NoError(t, err)
	shownAgain(t, "whatif", &Altered, w)
	p, err := plan.Choose(ctx, sys, nil, plan.Wish{Count: 4})
	require.NoError(t, err)
	shownAgain(t, "plan", &Rounds, p)
	var settings []*expect.Expected
	for _, o := range append(none, all...) {
		e, err := expect.Expect(sys, o)
		require.NoError(t, err)
		settings = append(settings, e)
	}
	shownAgain(t, "expect", &Foreseen, &Foretold{sys, settings})
}

func shownAgain[D, R any](t *testing.T, name string, s *Subject[D, R], d *D) {
	t.Run(name, func(t *testing.T) {
		require.ErrorContains(t, s.Show(io.Discard, d, View{Format: "csv"}), `no "csv"`, "a format that is unknown there is no text")
		shown := func(u units.System, format string) string {
			var b bytes.Buffer
			require.NoError(t, s.Show(&b, d, View{format, u, show.Style{All: true}}))
			return b.String()
		}
		for _, was := range []units.System{units.Metric, units.US} {
			saved := shown(was, "json")
			for _, is := range []units.System{units.Metric, units.US} {
				for _, format := range []string{"text", "html", "json"} {
					var b bytes.Buffer
					require.NoError(t, ShowSaved(&b, "saved.json", []byte(saved), is.String(), View{Format: format, Style: show.Style{All: true}}))
					assert.True(t, shown(is, format) == b.String(), "saved in %s, shown as %s in %s", was, format, is)
				}
			}
		}
	})
}
