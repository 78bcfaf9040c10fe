package main

import (
	"bufio"
	"go/build"
	"io/fs"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Which part of the house may import which. A package belongs to the longest
// part that its path starts with; within one part all may import each other. If
// this test fails, ask about the design before you lengthen the list.
const arrows = `
cmd:              report report/show report/html report/sheet report/planned report/expected report/changed report/verified report/repaired report/tracked report/sources report/layout diagnose diagnose/airflow diagnose/duct readings readings/units readings/problem
report:           report/show report/layout diagnose diagnose/airflow diagnose/duct readings readings/units readings/problem
report/show:      report/layout diagnose diagnose/duct readings readings/units readings/problem
report/drawing:   diagnose/duct
report/figure:    report/drawing report/show diagnose diagnose/duct readings/units
report/pages:     report report/show
report/html:      report report/pages report/figure report/drawing report/show diagnose diagnose/airflow diagnose/duct readings readings/units
report/sheet:     report report/pages report/figure report/drawing report/show diagnose diagnose/duct readings readings/units
report/planned:   report report/show report/layout diagnose readings readings/units
report/expected:  report report/show report/layout diagnose diagnose/duct readings readings/units
report/changed:   report report/show report/layout diagnose readings readings/units
report/verified:  report report/pages report/figure report/drawing report/show report/layout diagnose diagnose/duct readings readings/units
report/repaired:  report report/pages report/show report/layout diagnose readings readings/units
report/tracked:   report report/pages report/figure report/show report/layout diagnose readings readings/units
report/sources:   report/show report/layout diagnose/airflow
report/layout:
report/golden:
report/samples:   diagnose diagnose/airflow diagnose/duct readings readings/units
diagnose:         diagnose/airflow diagnose/duct readings readings/units readings/problem
diagnose/airflow: diagnose/duct readings/units readings/problem
diagnose/duct:    readings/units readings/problem
readings:         readings/units readings/problem
readings/units:
readings/problem:
`

// Libraries that belong to the edges.
var edges = map[string]string{
	"github.com/spf13/cobra":    "cmd",
	"golang.org/x/term":         "cmd",
	"github.com/goccy/go-yaml":  "diagnose/duct",
	"github.com/gocarina/gocsv": "readings",
}

const (
	module = "lostair/"
	root   = "../.."
)

func parts(t *testing.T) map[string][]string {
	out := map[string][]string{}
	in := bufio.NewScanner(strings.NewReader(strings.TrimSpace(arrows)))
	for in.Scan() {
		name, to, ok := strings.Cut(in.Text(), ":")
		require.True(t, ok, in.Text())
		out[name] = strings.Fields(to)
	}
	return out
}

// partOf is the longest part that a package's path starts with.
func partOf(path string, all map[string][]string) string {
	best := ""
	for p := range all {
		if (path == p || strings.HasPrefix(path, p+"/")) && len(p) > len(best) {
			best = p
		}
	}
	return best
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

func TestImportsRunOneWay(t *testing.T) {
	all, seen := parts(t), packages(t)
	require.GreaterOrEqual(t, len(seen), 8, "the packages were not found")
	for pkg, imports := range seen {
		from := partOf(pkg, all)
		if !assert.NotEmpty(t, from, "%s belongs to no part of the house", pkg) {
			continue
		}
		for _, im := range imports {
			if owner, ok := edges[im]; ok {
				assert.Equal(t, owner, from, "%s imports %s, which is for %s alone", pkg, im, owner)
			}
			if path, ours := strings.CutPrefix(im, module); ours {
				to := partOf(path, all)
				assert.True(t, to == from || contains(all[from], to), "%s must not import %s", pkg, path)
			}
		}
	}
}

func contains(list []string, x string) bool {
	for _, y := range list {
		if x == y {
			return true
		}
	}
	return false
}

// The list itself must have no way round.
func TestArrowsHaveNoCycle(t *testing.T) {
	all := parts(t)
	var walk func(p string, above []string)
	walk = func(p string, above []string) {
		require.NotContains(t, above, p, "a way round: %v", append(above, p))
		for _, to := range all[p] {
			require.Contains(t, all, to, "%s is no part", to)
			walk(to, append(above[:len(above):len(above)], p))
		}
	}
	for p := range all {
		walk(p, nil)
	}
}
