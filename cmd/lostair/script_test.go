package main

import (
	"os"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"
	"github.com/stretchr/testify/require"

	"lostair/report/golden"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"lostair": main})
}

// TestScripts runs each topic of testdata/script: commands, the files that they
// read, and what must come out.
func TestScripts(t *testing.T) {
	scripts, err := os.ReadDir("testdata/script")
	require.NoError(t, err)
	require.NotEmpty(t, scripts)
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		UpdateScripts:       golden.Update(),
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
	})
}
