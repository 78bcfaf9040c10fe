package main

import (
	"bytes"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
)

type broken struct{}

func (broken) Write([]byte) (int, error) { panic("a bug") }

// A panic in a command ends in a sentence that blames no file, with where it came
// about for who mends it, and the status of what could not be done.
func TestAPanicIsTold(t *testing.T) {
	var err bytes.Buffer
	code := run(t.Context(), []string{"version"}, console.Streams{Out: broken{}, Err: &err, Env: func(string) string { return "" }})
	require.Equal(t, console.NotDone, code)
	require.Regexp(t, `^lostair: this is a defect of lostair, not of your files \(a bug\); what was saved stays saved\n`, err.String())
	require.Contains(t, err.String(), "defect_test.go:")
}
