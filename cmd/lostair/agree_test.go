package main

import (
	"encoding/json"
	"fmt"
	"html"
	"math"
	"os"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/subjects"
	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/trial"
	"lostair/diagnose/whatif"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/show"
)

// Text, page and JSON of one survey say the same in both systems of units: the
// verdict, the places and their shares, the ports that fall short, what to do and its
// gain, what to buy, what to read. The first screen of text holds the answer in 24
// lines of 80 columns. Cases of our own, 60 of them with LOSTAIR_LONG.
func TestFormatsAgree(t *testing.T) {
	n := 3
	if os.Getenv("LOSTAIR_LONG") != "" {
		n = 60
	}
	var bought purchases
	for i := range n {
		o := trial.Options{Ports: 3 + i%6, US: []trial.Either{trial.No, trial.Yes}[i%2], Quick: true}
		if i%3 == 0 {
			o.Kinds = []string{[]string{trial.Leak, trial.Blockage, trial.GateRestricted}[i/3%3]}
		}
		c, err := trial.NewCase(uint64(9100+i), o)
		if err != nil {
			continue // the true plant can't be solved
		}
		d, err := diagnose.Diagnose(t.Context(), c.System, c.Survey, diagnose.Options{Baselines: c.Baselines})
		require.NoError(t, err)
		t.Run(fmt.Sprintf("case %d", c.Seed), func(t *testing.T) {
			us := agree(t, d, units.US)
			si := agree(t, d, units.Metric)
			sameFindings(t, si, us)
			groupsHold(t, c.System, si)
		})
		bought.add(t, d)
	}
	t.Logf("%d ports too small by design: of %d the text says that no size does, %d meet their need with what it says to buy", bought.ports, bought.told, bought.met)
	if n > 3 {
		require.GreaterOrEqual(t, bought.ports, 10)
		require.GreaterOrEqual(t, 100*(bought.met+bought.told), 95*bought.ports, "what is advised to buy meets the need")
	}
}

func said(t *testing.T, d *diagnose.Result, u units.System, format string, all bool) string {
	var b strings.Builder
	require.NoError(t, subjects.Diagnosed.Show(&b, d, subjects.View{Format: format, Units: u, Style: show.Style{All: all}}))
	return b.String()
}

// agree holds what a result says in each format against its JSON.
func agree(t *testing.T, d *diagnose.Result, u units.System) *report.Result {
	var r report.Result
	require.NoError(t, json.Unmarshal([]byte(said(t, d, u, "json", false)), &r))
	brief, all, page := said(t, d, u, "text", false), said(t, d, u, "text", true), pageWords(said(t, d, u, "html", false))
	a := r.Answer
	says := append([]string{a.Broken, a.TooSmall, a.Written, a.Rows, a.Do, a.Gain, a.Read}, a.Where[:min(len(a.Where), 3)]...)
	for _, s := range says {
		for where, text := range map[string]string{"text": words(brief), "--all": words(all), "page": page} {
			assert.True(t, strings.Contains(text, words(s)), "%s does not say: %s", where, s)
		}
	}
	holds := func(what, text, s string) {
		assert.True(t, strings.Contains(text, words(s)), "%s does not say: %s", what, s)
	}
	for _, x := range r.TooSmall {
		holds("text", words(brief), x.Words())
		holds("page", page, x.Words())
	}
	for _, x := range r.WrittenDown(false) {
		holds("text", words(brief), x.Told())
		holds("page", page, x.Told())
	}
	if strings.HasPrefix(a.TooSmall, "Nothing is too small") {
		assert.NotContains(t, all, "SHORT by design")
		assert.False(t, strings.Contains(page, ", by design"), "the page says that a port is short by design")
	}
	main, narrow, _ := report.Sorted(r.Faults)
	for _, f := range append(main, narrow...) {
		if len(f.Alike) > 0 {
			holds("--all", words(all), f.Shared())
			holds("page", page, f.Shared())
		}
		if f.HowBad != "" {
			holds("--all", words(all), f.HowBad)
			holds("page", page, f.HowBad)
		}
	}
	first, _, found := strings.Cut(brief, "Read next: ")
	require.True(t, found)
	assert.LessOrEqual(t, strings.Count(first, "\n")+(len(a.Read)+68)/69, 24, "the first screen:\n%s", first)

	assert.Equal(t, r.Verdict == "clear" || onlyByDesign(r), strings.HasPrefix(a.Broken, "Nothing is broken"), "%s: %s", r.Verdict, a.Broken)
	for _, x := range r.ShortNow() {
		row := regexp.MustCompile(`(?m)^` + regexp.QuoteMeta(x.Port) + ` .*` + regexp.QuoteMeta(x.Flow.Mid()))
		assert.Regexp(t, row, brief, "%s falls short", x.Port)
		assert.True(t, strings.Contains(page, x.Port), "the page leaves %s out", x.Port)
		assert.False(t, math.IsNaN(x.Flow.Value))
	}
	foreign := map[units.System]string{units.US: `[0-9] (mm|m3/h|m³/h|cm2|cm²|Pa)\b`, units.Metric: `[0-9] (in[,.)]|(cfm|fpm|in2|inH2O|inH₂O)\b)`}[u]
	assert.NotRegexp(t, foreign, unquoted(strings.ReplaceAll(brief, "9 in 10", "")))
	assert.NotRegexp(t, `(?i)\breckon|\bbits\b|the page's own losses`, brief)
	return &r
}

// sameFindings: the units change no verdict, place, chance or share.
func sameFindings(t *testing.T, a, b *report.Result) {
	assert.Equal(t, a.Verdict, b.Verdict)
	assert.Equal(t, a.Broken, b.Broken)
	require.Len(t, b.Faults, len(a.Faults))
	for i, f := range a.Faults {
		g := b.Faults[i]
		assert.Equal(t, []any{f.Kind, f.Where, f.Together, f.Share, len(f.Alike)}, []any{g.Kind, g.Where, g.Together, g.Share, len(g.Alike)})
	}
	names := func(r *report.Result) (out []string) {
		for _, x := range r.ShortNow() {
			out = append(out, x.Port+" "+x.Open)
		}
		for _, x := range r.TooSmall {
			out = append(out, "small "+x.Port)
		}
		for _, x := range r.Next {
			out = append(out, x.Open+" "+x.Point+" "+x.Quantity)
		}
		return out
	}
	assert.Equal(t, names(a), names(b))
}

// groupsHold: the shares of a group's members sum to its chance, and the stretch
// that is named holds its members, all and no other.
func groupsHold(t *testing.T, sys *duct.System, r *report.Result) {
	for _, f := range r.Faults {
		sum, member := f.Share, map[string]bool{f.Where: true}
		for _, m := range f.Alike {
			sum += m.Share
			member[m.Where] = true
		}
		assert.InDelta(t, f.Together, sum, 1e-3, "shares of %s", f.Name)
		if f.Zone == "" || strings.Contains(f.Zone, " more") {
			continue
		}
		named := map[string]bool{}
		for _, w := range strings.FieldsFunc(f.Zone, func(c rune) bool { return c == ' ' || c == ',' }) {
			named[w] = true
		}
		for i := range sys.Ducts {
			id := sys.Ducts[i].ID
			assert.Equal(t, member[id], named[id], "%s in the stretch: %s", id, f.Zone)
		}
	}
}

// purchases count the ports that are too small by design.
type purchases struct{ ports, told, met int }

// add buys what is advised, and computes by the page what the port then gets.
func (p *purchases) add(t *testing.T, d *diagnose.Result) {
	for _, x := range d.TooSmall {
		p.ports++
		if x.Buy == 0 || !x.Meets {
			p.told++
			continue
		}
		var sets []string
		for _, id := range x.Ducts {
			sets = append(sets, fmt.Sprintf("%s.diameter=%g mm", id, 1000*x.Buy))
		}
		c, err := whatif.Compare(t.Context(), d.System, sets, []readings.Open{x.Open})
		require.NoError(t, err)
		for _, row := range c.Settings[0].Rows {
			if row.What == "port" && row.Where == x.Port && row.After >= x.Need {
				p.met++
			}
		}
	}
}

func onlyByDesign(r report.Result) bool {
	main, _, _ := report.Sorted(r.Faults)
	return r.Verdict == "faults" && len(main) == 0
}

// unquoted leaves out what stands in the user's own unit: wrong rows.
func unquoted(s string) string {
	return regexp.MustCompile(`(?s)Readings that look wrong.*?\n\n`).ReplaceAllString(s, "")
}

var tags = regexp.MustCompile(`<[^>]*>`)

// words is text without what sets it.
func words(s string) string {
	return strings.Join(strings.Fields(strings.NewReplacer("\u00a0", " ", "³", "3", "²", "2", "₂", "2", "−", "-").Replace(s)), " ")
}

func pageWords(s string) string { return words(html.UnescapeString(tags.ReplaceAllString(s, ""))) }
