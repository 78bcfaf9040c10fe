package defect

import (
	"errors"
	"testing"

	"github.com/stretchr/testify/require"
)

type handedOn struct{}

func (handedOn) Trace() (any, []byte) { return "far", []byte("there") }

// A panic comes back as an error that blames the program and tells where; one of
// another goroutine where that was. Other errors, and none, are left as they are.
func TestCaught(t *testing.T) {
	err := Caught(func() error { panic("near") })
	require.ErrorContains(t, err, "not of your files (near)")
	require.Contains(t, StackOf(err), "TestCaught")
	err = Caught(func() error { panic(handedOn{}) })
	require.ErrorContains(t, err, "(far)")
	require.Equal(t, "there", StackOf(err))
	plain := errors.New("plain")
	require.Equal(t, plain, Caught(func() error { return plain }))
	require.Empty(t, StackOf(plain))
	require.NoError(t, Caught(func() error { return nil }))
}
