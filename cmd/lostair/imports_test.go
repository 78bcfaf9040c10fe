package main

import (
	"go/build"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The floors of the house, top to bottom. A package imports from the floors below
// its own only, so no import runs up, along a floor or in a circle. Every package
// stands here by name. If this test fails, ask about the design before you move one.
const floors = `
cmd/lostair
cmd/internal/subjects
cmd/internal/command
cmd/internal/console cmd/internal/legend
cmd/internal/onepage
cmd/internal/bench cmd/internal/door
cmd/internal/bench/ask cmd/internal/bench/rounds
cmd/internal/bench/tell
cmd/internal/bench/desk
cmd/internal/bench/pages cmd/internal/bench/store
cmd/internal/runs cmd/internal/talk cmd/internal/disk cmd/internal/defect
diagnose/internal/kit
diagnose/facts
report/samples
report/guided
report/html report/sheet report/planned report/expected report/changed report/verified report/repaired report/tracked report/sources
report/pages report/figure report/text
report report/drawing
report/finding
report/show
report/layout report/golden report/kept
diagnose/round
diagnose/repair
diagnose/track diagnose/verify
diagnose
diagnose/next
diagnose/plan diagnose/expect diagnose/whatif diagnose/internal/weigh diagnose/internal/story
diagnose/internal/doubt diagnose/internal/indicator
diagnose/internal/search
diagnose/internal/screen
diagnose/internal/fit
diagnose/internal/branch
diagnose/internal/asbuilt diagnose/internal/observe diagnose/internal/settings diagnose/trial/score
diagnose/fault diagnose/trial
diagnose/trial/survey
diagnose/trial/plant
diagnose/route
diagnose/airflow diagnose/duct/edit diagnose/trial/internal/dice
diagnose/internal/numeric diagnose/handbook
diagnose/duct/systemfile readings/repairs
diagnose/duct readings
diagnose/duct/keys
diagnose/duct/trade
readings/units readings/problem readings/workbook readings/csvtext readings/dates
`

// What a part of the house must not import though it stands below: reasons behind.
var never = []struct{ from, to, why string }{
	{"readings", "diagnose", "a survey knows no system"},
	{"readings/repairs", "diagnose", "nor does the log of repairs"},
	{"diagnose/duct", "readings/", "but for units and problem: the system knows no survey"},
	{"diagnose/duct/systemfile", "readings/", "but for units and problem: the system file knows no survey"},
	{"diagnose/duct/keys", "readings/", "but for units and problem: its keys know no survey"},
	{"diagnose/duct/trade", "readings/", "but for units and problem: what is known by name knows no survey"},
	{"diagnose/airflow", "readings", "the air knows no survey"},
	{"diagnose/route", "readings", "nor do its ways"},
	{"diagnose/handbook", "readings", "the laws know no survey"},
	{"report/layout", "diagnose", "the layout of text knows nothing of the subject"},
}

// Libraries that belong to the edges.
var edges = map[string]string{
	"github.com/spf13/cobra":      "cmd",
	"golang.org/x/term":           "cmd",
	"github.com/goccy/go-yaml":    "diagnose/duct",
	"github.com/gocarina/gocsv":   "readings",
	"github.com/xuri/excelize/v2": "readings/workbook",
}

const (
	module = "lostair/"
	root   = "../.."
)

// floorOf numbers each package's floor from the top.
func floorOf(t *testing.T) map[string]int {
	out := map[string]int{}
	for i, line := range strings.Split(strings.TrimSpace(floors), "\n") {
		for _, p := range strings.Fields(line) {
			require.NotContains(t, out, p, "listed twice")
			out[p] = i
		}
	}
	return out
}

func packages(t *testing.T) map[string][]string {
	out := map[string][]string{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return err
		}
		if name := d.Name(); path != root && (strings.HasPrefix(name, ".") || name == "testdata") {
			return filepath.SkipDir
		}
		p, err := build.ImportDir(path, 0)
		if _, none := err.(*build.NoGoError); none {
			return nil
		}
		rel, relErr := filepath.Rel(root, path)
		require.NoError(t, relErr)
		out[filepath.ToSlash(rel)] = p.Imports
		return err
	})
	require.NoError(t, err)
	return out
}

func TestImportsRunDown(t *testing.T) {
	floor, seen := floorOf(t), packages(t)
	for pkg := range floor {
		assert.Contains(t, seen, pkg, "%s stands on a floor and is no package", pkg)
	}
	for pkg, imports := range seen {
		if !assert.Contains(t, floor, pkg, "%s stands on no floor", pkg) {
			continue
		}
		for _, im := range imports {
			if owner, ok := edges[im]; ok {
				assert.True(t, within(pkg, owner), "%s imports %s, which is for %s alone", pkg, im, owner)
			}
			if path, ours := strings.CutPrefix(im, module); ours {
				assert.Less(t, floor[pkg], floor[path], "%s must not import %s: it is not on a floor below", pkg, path)
				allowed(t, pkg, path)
			}
		}
	}
}

// allowed holds one import against the list of what must not be.
func allowed(t *testing.T, pkg, path string) {
	for _, n := range never {
		if pkg != n.from || path == "readings/units" || path == "readings/problem" {
			continue
		}
		assert.False(t, within(path, strings.TrimSuffix(n.to, "/")), "%s must not import %s: %s", pkg, path, n.why)
	}
}

func within(pkg, part string) bool { return pkg == part || strings.HasPrefix(pkg, part+"/") }
