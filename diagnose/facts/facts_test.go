package facts

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/airflow"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/asbuilt"
	"lostair/testdata/published/literals"
)

// rooms are the packages of the inference.
var rooms = []string{"..", "../fault", "../next", "../plan", "../route", "../verify", "../track", "../repair", "../internal/asbuilt", "../internal/branch", "../internal/doubt", "../internal/fit", "../internal/indicator", "../internal/numeric",
	"../internal/observe", "../internal/screen", "../internal/search", "../internal/settings", "../internal/story", "../internal/weigh", "../whatif", "../expect"}

// No number stands in the inference that the table of sources lacks. What is
// allowed beside it is listed with the reason why no answer rests on it.
func TestEveryNumberHasASource(t *testing.T) {
	code := literals.Of(t, rooms...)
	elsewhere := map[string]bool{"logLinear": true, "equalArea": true, "dimensions": true}                   // in readings
	elsewhere["usualConvey"], elsewhere["usualConveyUS"] = true, true                                        // in handbook
	elsewhere["usuals"], elsewhere["taperedSpread"], elsewhere["chartSpread"] = true, true, true             // in trade
	elsewhere["GuessedInletAir"], elsewhere["GuessedCyclone"], elsewhere["GuessedFilter"] = true, true, true // in duct
	for _, f := range handbook.Facts() {
		elsewhere[f.Symbol] = true
	}
	known := map[string][]float64{}
	seen := map[string]bool{}
	for _, f := range Facts() {
		require.NotEmpty(t, f.Source, f.Name)
		require.NotEmpty(t, f.Status, f.Name)
		assert.True(t, elsewhere[f.Symbol] || code.Has(f.Symbol), "facts name %q, and no code does", f.Symbol)
		require.False(t, seen[f.Group+f.Symbol+f.Name], "twice: %s", f.Name)
		seen[f.Group+f.Symbol+f.Name] = true
		known[f.Symbol] = append(known[f.Symbol], f.Value)
		if !elsewhere[f.Symbol] {
			assert.True(t, code.Contains(f.Symbol, f.Value), "the code of %s has no number %v", f.Symbol, f.Value)
		}
	}
	for what := range asbuilt.Spreads {
		require.True(t, named(what), "spreadNames lacks part %d", what)
	}
	code.Check(t, known, beside(t))
}

// beside lists the numbers that need no source, each by its declaration and with
// the reason: quantiles, steps of differences, what bounds the work and the words.
// They cost time, or leave out what weighs next to nothing; no answer rests on them.
func beside(t *testing.T) map[string]literals.Allowed {
	f, err := os.Open("testdata/beside.csv")
	require.NoError(t, err)
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	require.NoError(t, err)
	out := map[string]literals.Allowed{}
	for _, r := range rows[1:] {
		require.NotContains(t, out, r[0])
		var values []float64
		for _, n := range strings.Fields(r[1]) {
			v, err := strconv.ParseFloat(n, 64)
			require.NoError(t, err, r[0])
			values = append(values, v)
		}
		out[r[0]] = literals.Allowed{Values: values, Why: r[2]}
	}
	return out
}

// Every number of the model is on record: what is taken from the table, put in or
// changed shows here. UPDATE_GOLDEN=1 writes the record anew.
func TestTheTableIsOnRecord(t *testing.T) {
	const name = "testdata/record.csv"
	var b strings.Builder
	w := csv.NewWriter(&b)
	for _, f := range Facts() {
		value := f.Formula
		if value == "" {
			value = strconv.FormatFloat(f.Value, 'g', 12, 64)
		}
		require.NoError(t, w.Write([]string{f.Group, f.Symbol, f.Name, value, f.Unit, f.Status}))
	}
	w.Flush()
	if os.Getenv("UPDATE_GOLDEN") != "" {
		require.NoError(t, os.WriteFile(name, []byte(b.String()), 0o600))
	}
	want, err := os.ReadFile(name)
	require.NoError(t, err)
	require.Equal(t, string(want), b.String(), "run UPDATE_GOLDEN=1 go test ./diagnose/facts, and say in CHANGELOG what changes")
}

func named(w airflow.What) bool {
	for _, s := range spreadNames {
		if s.what == w {
			return true
		}
	}
	return false
}
