package score

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/trial"
	"lostair/readings"
)

func mustCase(t *testing.T, seed uint64, o trial.Options) *trial.Case {
	t.Helper()
	c, err := trial.NewCase(seed, o)
	require.NoError(t, err)
	return c
}

// The same seed gives the same truth.
func TestSameSeedSameTruth(t *testing.T) {
	for seed := range uint64(6) {
		a, b := mustCase(t, seed, trial.Options{Ports: 9}), mustCase(t, seed, trial.Options{Ports: 9})
		x, err := TruthJSON(&a.Truth, "1", "s")
		require.NoError(t, err)
		y, err := TruthJSON(&b.Truth, "1", "s")
		require.NoError(t, err)
		require.Equal(t, string(x), string(y))
	}
}

func TestBankLoadsBack(t *testing.T) {
	dir := t.TempDir()
	var cases []*trial.Case
	for seed := range uint64(12) {
		cases = append(cases, mustCase(t, seed, trial.Options{}))
	}
	require.NoError(t, WriteBank(dir, cases))
	for i, c := range cases {
		at := filepath.Join(dir, []string{"001", "002", "003", "004", "005", "006", "007", "008", "009", "010", "011", "012"}[i])
		s, list := systemfile.LoadFile(filepath.Join(at, "system.yaml"))
		require.NotNil(t, s, list)
		v, list := readings.LoadFile(filepath.Join(at, "survey.csv"), s.Units)
		require.NotNil(t, v, list)
		require.Empty(t, list)
		require.Len(t, v.Rows, len(c.Survey.Rows))
		_, err := os.Stat(filepath.Join(at, "baseline.csv"))
		require.Equal(t, c.Truth.Baseline, err == nil)
		require.FileExists(t, filepath.Join(at, "truth.json"))
	}
}
