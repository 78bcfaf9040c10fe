// Package published holds the trade's published numbers as tables, and runs
// the program's own functions against them.
//
// Each theme is one CSV file. A row says which package computes the number
// (package), with which function (check, a name in that package's
// published_test.go), from what (inputs), what the source has (expected and
// unit), how near is near enough (tolerance, in the unit, or with a % sign),
// where it stands (source) and how it came to us (status). README.md lists the
// entries that no row stands for, and why.
//
// A tolerance wider than half a unit of the expected value's last printed
// place needs its reason in the column why; Run fails without.
package published

import (
	"embed"
	"encoding/csv"
	"fmt"
	"io/fs"
	"math"
	"sort"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/readings/units"
)

//go:embed *.csv
var files embed.FS

// Statuses are how a number may have come to us, best first.
var Statuses = []string{"read", "quoted", "value from memory", "computed", "common practice, no source"}

// Row is one check.
type Row struct {
	File, ID, Package, Check, Inputs, Expected, Unit, Tolerance, Status, Source, Why string
	Line                                                                             int
	t                                                                                testing.TB
}

var header = []string{"id", "package", "check", "inputs", "expected", "unit", "tolerance", "status", "source", "why"}

// All returns every row of every file, by file and line.
func All() ([]Row, error) {
	names, err := fs.Glob(files, "*.csv")
	if err != nil {
		return nil, err
	}
	var out []Row
	for _, name := range names {
		rows, err := read(name)
		if err != nil {
			return nil, err
		}
		out = append(out, rows...)
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("there are no published checks")
	}
	return out, nil
}

func read(name string) ([]Row, error) {
	f, err := files.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	all, err := r.ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if strings.Join(all[0], ",") != strings.Join(header, ",") {
		return nil, fmt.Errorf("%s: the header is %v, want %v", name, all[0], header)
	}
	var out []Row
	for i, c := range all[1:] {
		out = append(out, Row{File: name, Line: i + 2, ID: c[0], Package: c[1], Check: c[2], Inputs: c[3], Expected: c[4],
			Unit: c[5], Tolerance: c[6], Status: c[7], Source: c[8], Why: c[9]})
	}
	return out, nil
}

// Check computes a row's value with the program's own functions, in SI.
type Check func(Row) float64

// Run runs every row of a package, and says how many by status. It fails if a
// row names no check, a check has no row, or a tolerance has no reason.
func Run(t *testing.T, pkg string, checks map[string]Check) {
	t.Helper()
	all, err := All()
	require.NoError(t, err)
	used := map[string]bool{}
	count := map[string]int{}
	for _, r := range all {
		if r.Package != pkg {
			continue
		}
		used[r.Check] = true
		count[r.Status]++
		t.Run(r.ID+" "+r.Check+" "+r.Inputs, func(t *testing.T) {
			r.t = t
			f, ok := checks[r.Check]
			require.True(t, ok, "%s row %d: package %s has no check %q", r.File, r.Line, pkg, r.Check)
			r.compare(f(r))
		})
	}
	for name := range checks {
		require.True(t, used[name], "no row uses the check %q of package %s", name, pkg)
	}
	t.Log(pkg+":", Tally(count))
}

// Tally puts counts by status into words.
func Tally(count map[string]int) string {
	var out []string
	n := 0
	for _, s := range Statuses {
		if count[s] > 0 {
			out = append(out, fmt.Sprintf("%d %s", count[s], s))
			n += count[s]
		}
	}
	return fmt.Sprintf("%d published checks: %s", n, strings.Join(out, "; "))
}

func (r Row) compare(si float64) {
	r.t.Helper()
	got := si
	if r.Unit != "" {
		var err error
		got, err = units.Convert(si, dimension(r.Unit), r.Unit)
		require.NoError(r.t, err)
	}
	want, tol, err := r.Bounds()
	require.NoError(r.t, err)
	require.False(r.t, math.IsNaN(got), "the check gave no number")
	require.LessOrEqual(r.t, math.Abs(got-want), tol, "%s row %d: %s gives %.8g %s, published is %s ± %.3g",
		r.File, r.Line, r.Check, got, r.Unit, r.Expected, tol)
}

// Bounds returns the expected value and the tolerance, both in the row's unit.
func (r Row) Bounds() (want, tol float64, err error) {
	want, err = strconv.ParseFloat(r.Expected, 64)
	if err != nil {
		return 0, 0, fmt.Errorf("%s row %d: expected: %w", r.File, r.Line, err)
	}
	text, share := strings.CutSuffix(r.Tolerance, "%")
	tol, err = strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, 0, fmt.Errorf("%s row %d: tolerance: %w", r.File, r.Line, err)
	}
	if share {
		tol *= math.Abs(want) / 100
	}
	if tol > r.rounding()*(1+1e-9) && r.Why == "" {
		return 0, 0, fmt.Errorf("%s row %d: tolerance %s is wider than the rounding of %s and column why is empty", r.File, r.Line, r.Tolerance, r.Expected)
	}
	return want, tol * (1 + 1e-9), nil
}

// rounding is half a unit of the last printed place of the expected value.
func (r Row) rounding() float64 {
	mantissa, exponent, _ := strings.Cut(strings.ToLower(r.Expected), "e")
	e, _ := strconv.Atoi(exponent)
	_, decimals, _ := strings.Cut(mantissa, ".")
	return 0.5 * math.Pow(10, float64(e-len(decimals)))
}

// Text returns an input as written; it fails the test if the row has none of that name.
func (r Row) Text(name string) string {
	r.t.Helper()
	for _, kv := range strings.Split(r.Inputs, ";") {
		k, v, ok := strings.Cut(strings.TrimSpace(kv), "=")
		if ok && k == name {
			return v
		}
	}
	require.Fail(r.t, "missing input", "%s row %d has no input %q", r.File, r.Line, name)
	return ""
}

// Has says whether the row has an input of that name.
func (r Row) Has(name string) bool {
	return strings.Contains("; "+r.Inputs, "; "+name+"=")
}

// SI returns an input in SI: a plain number, or a number with a unit of the units table.
func (r Row) SI(name string) float64 {
	r.t.Helper()
	return r.list(name)[0]
}

// List returns an input of several numbers and perhaps one unit behind them, in SI.
func (r Row) List(name string) []float64 {
	r.t.Helper()
	return r.list(name)
}

func (r Row) list(name string) []float64 {
	f := strings.Fields(r.Text(name))
	unit := ""
	if _, err := strconv.ParseFloat(f[len(f)-1], 64); err != nil {
		unit, f = f[len(f)-1], f[:len(f)-1]
	}
	var out []float64
	for _, x := range f {
		if unit == "" {
			v, err := strconv.ParseFloat(x, 64)
			require.NoError(r.t, err)
			out = append(out, v)
			continue
		}
		v, err := units.Parse(x+" "+unit, dimension(unit), units.Metric)
		require.NoError(r.t, err)
		out = append(out, v.SI)
	}
	require.NotEmpty(r.t, out)
	return out
}

// T is the running test.
func (r Row) T() testing.TB { return r.t }

// dimension finds the first dimension that knows a unit.
func dimension(unit string) units.Dimension {
	for d := units.Diameter; d <= units.Multiple; d++ {
		if _, ok := units.Lookup(unit, d); ok {
			return d
		}
	}
	return units.Number
}

// Counts returns how many rows there are by status.
func Counts() (map[string]int, error) {
	all, err := All()
	if err != nil {
		return nil, err
	}
	out := map[string]int{}
	for _, r := range all {
		if i := sort.SearchStrings(sorted(Statuses), r.Status); i == len(Statuses) || sorted(Statuses)[i] != r.Status {
			return nil, fmt.Errorf("%s row %d: unknown status %q", r.File, r.Line, r.Status)
		}
		out[r.Status]++
	}
	return out, nil
}

func sorted(s []string) []string {
	out := append([]string(nil), s...)
	sort.Strings(out)
	return out
}
