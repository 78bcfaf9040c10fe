package main

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
)

// What whoever works on a dust system must have read, whichever output is in
// their hands. Common practice, no source.
var usualCautions = map[string]string{
	"dust burns":          `(?i)dust (in air )?burns and can explode`,
	"no flame":            `(?i)no flame`,
	"nor smoke":           `(?i)no smoke|flame, smoke`,
	"lock off":            `(?i)lock(ed)? (it )?off`,
	"wheel runs on":       `(?i)wheel runs on`,
	"bonding":             `(?i)bonding`,
	"drilling":            `(?i)drill`,
	"swarf":               `(?i)swarf`,
	"ladder":              `(?i)ladder or platform that stands safely`,
	"respirator":          `(?i)respirator that fits`,
	"local codes":         `(?i)local codes`,
	"licensed":            `(?i)licensed`,
	"no proof":            `(?i)no proof that a system meets a rule or\s+a law`,
	"no design":           `(?i)no\s+design`,
	"leaks without flame": `(?i)never look for (a leak|leaks) with a flame or a smoke source`,
}

func TestCautionsStandEverywhere(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join(root, "README.md"))
	require.NoError(t, err)
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "demo", "shop").status)
	texts := map[string]string{"README": string(readme)}
	for _, args := range []string{ // a saved result is shown as computed, which a test of package subjects holds
		"diagnose shop/system.yaml shop/readings.csv -o diagnosis.json",
		"show diagnosis.json --plain",
		"show diagnosis.json --format json",
		"show diagnosis.json --format html",
		"verify shop/system.yaml shop/when-sound.csv -o verified.json",
		"show verified.json --format text",
		"show verified.json --format html",
		"show verified.json --format json",
		"track shop/system.yaml shop/history -o history.json",
		"show history.json",
		"show history.json --format html",
		"track shop/system.yaml --before shop/history/2025-08-04.csv --after shop/history/2025-09-04.csv -o repair.json",
		"show repair.json",
		"show repair.json --format html",
		"sheet shop/system.yaml",
		"plan shop/system.yaml",
		"plan shop/system.yaml --format json",
	} {
		got := runHere(t.Context(), console.Streams{}, strings.Fields(args)...)
		require.Equal(t, console.Done, got.status, got.err)
		if !strings.Contains(args, " -o ") {
			texts[args] = got.out
		}
	}
	space := regexp.MustCompile(`\s+`)
	for where, text := range texts {
		text = space.ReplaceAllString(text, " ")
		for what, pattern := range usualCautions {
			if strings.HasPrefix(where, "sheet") && (what == "no proof" || what == "no design") {
				continue // a sheet claims nothing
			}
			assert.Regexp(t, regexp.MustCompile(pattern), excerpt(text, pattern), "%s lacks the caution: %s", where, what)
		}
	}
}

// excerpt is what a pattern finds, so that a failure does not print a whole page.
func excerpt(text, pattern string) string { return regexp.MustCompile(pattern).FindString(text) }
