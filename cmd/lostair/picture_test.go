package main

import (
	"os"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
	"lostair/report/golden"
)

// The picture that the README shows is what the program draws of the demo.
func TestReadmePicture(t *testing.T) {
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	require.Contains(t, string(text), "(testdata/demo.svg)")
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "demo").status)
	got := runHere(t.Context(), console.Streams{}, "diagnose", "lostair-demo/system.yaml", "lostair-demo/readings.csv", "--format", "svg")
	require.Equal(t, console.Done, got.status, got.err)
	t.Chdir(moduleRoot(t))
	golden.Check(t, "testdata/demo.svg", []byte(got.out))
}
