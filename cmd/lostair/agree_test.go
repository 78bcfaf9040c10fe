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

	"lostair/report"
)

// Text, page and JSON of one survey say the same: the verdict, the places and
// their shares, the ports that fall short, what to do and its gain, what to read.
// The first screen of text holds them in 24 lines of 80 columns.
func TestFormatsAgree(t *testing.T) {
	t.Chdir(t.TempDir())
	sizes := []int{3, 4, 6}
	if os.Getenv("LOSTAIR_LONG") != "" {
		sizes = append(sizes, 8, 10, 14)
	}
	for _, ports := range sizes {
		name := fmt.Sprintf("p%d", ports)
		t.Run(name, func(t *testing.T) {
			made := runHere(t.Context(), streams{}, "demo", name, "--ports", fmt.Sprint(ports), "--seed", "1")
			require.Equal(t, done, made.status, made.err)
			for _, u := range []string{"metric", "us"} {
				agree(t, name, u)
			}
		})
	}
}

// agree takes the texts from the saved result: that they are those of diagnose is
// held by the script show.txtar.
func agree(t *testing.T, dir, u string) {
	out := func(args ...string) string {
		got := runHere(t.Context(), streams{}, args...)
		require.Equal(t, done, got.status, got.err)
		return got.out
	}
	diagnosed := func(format string) string {
		return out("diagnose", dir+"/system.yaml", dir+"/readings.csv", "--units", u, "--format", format)
	}
	saved, file := diagnosed("json"), dir+"/"+u+".json"
	require.NoError(t, os.WriteFile(file, []byte(saved), 0o644))
	var r report.Result
	require.NoError(t, json.Unmarshal([]byte(saved), &r))
	brief, all, page := out("show", file), out("show", file, "--all"), pageWords(diagnosed("html"))
	a := r.Answer
	says := append([]string{a.Broken, a.TooSmall, a.Written, a.Rows, a.Do, a.Gain, a.Read}, a.Where[:min(len(a.Where), 3)]...)
	for _, s := range says {
		for where, text := range map[string]string{"text": words(brief), "--all": words(all), "page": page} {
			assert.True(t, strings.Contains(text, words(s)), "%s does not say: %s", where, s)
		}
	}
	first, _, found := strings.Cut(brief, "Read next: ")
	require.True(t, found)
	assert.LessOrEqual(t, strings.Count(first, "\n")+(len(a.Read)+68)/69, 24, "the first screen:\n%s", first)

	assert.Equal(t, r.Verdict == "clear" || onlyByDesign(r), strings.HasPrefix(a.Broken, "Nothing is broken"), "%s: %s", r.Verdict, a.Broken)
	for _, f := range r.Faults {
		sum := f.Share
		for _, m := range f.Alike {
			sum += m.Share
		}
		assert.InDelta(t, f.Together, sum, 1e-3, "shares of %s", f.Name)
	}
	for _, x := range r.ShortNow() {
		row := regexp.MustCompile(`(?m)^` + regexp.QuoteMeta(x.Port) + ` .*` + regexp.QuoteMeta(x.Flow.Mid()))
		assert.Regexp(t, row, brief, "%s falls short", x.Port)
		assert.True(t, strings.Contains(page, x.Port), "the page leaves %s out", x.Port)
		assert.False(t, math.IsNaN(x.Flow.Value))
	}
	if u == "us" {
		assert.NotRegexp(t, `[0-9] (mm|m3/h|m³/h|cm2|cm²|Pa)\b`, unquoted(brief))
	}
	assert.NotRegexp(t, `(?i)\breckon|\bbits\b|the page's own losses`, brief)
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
