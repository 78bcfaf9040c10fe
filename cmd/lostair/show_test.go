package main

import (
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
)

// Nothing is read without end.
func TestShowReadsNoMoreThanAResult(t *testing.T) {
	got := runHere(t.Context(), console.Streams{In: io.LimitReader(endless{}, 1<<30)}, "show", "-")
	require.Equal(t, console.NotDone, got.status)
	require.Contains(t, got.err, "is larger than")
}

// endless is input that never ends.
type endless struct{}

func (endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = ' '
	}
	return len(p), nil
}
