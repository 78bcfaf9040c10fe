package main

import (
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
	"lostair/report/show"
)

// FuzzShow: whatever a saved result holds, showing it ends in a result or in an
// error that says which file, and no text of it controls a terminal.
func FuzzShow(f *testing.F) {
	files, err := filepath.Glob("../../report/testdata/*.json")
	require.NoError(f, err)
	require.NotEmpty(f, files)
	for _, path := range files {
		data, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(data, uint8(0))
	}
	for i, k := range savedKinds {
		f.Add([]byte(`{"version": 1, "`+k.key+`": []}`), uint8(i))
		f.Add([]byte(`{"version": 1, "`+k.key+`": [{}, null]}`), uint8(i))
		f.Add([]byte(`{"version": 1, "`+k.key+`": null}`), uint8(i))
		f.Add([]byte(`{"version": 1, "`+k.key+`": 3}`), uint8(i))
	}
	f.Add([]byte(`{"version": 1, "candidates": [{"name": "\u001b[2J"}], "faults": [{"severity": null, "evidence": [{}]}]}`), uint8(1))
	f.Fuzz(func(t *testing.T, data []byte, how uint8) {
		format := []string{"text", "json", "html"}[how%3]
		var b bytes.Buffer
		err := showSaved(&b, "saved.json", data, []string{"", "us"}[how>>5%2], view{format: format, style: show.Style{All: how&8 != 0, Plain: how&16 != 0, Width: 40 + int(how)}})
		if err != nil {
			require.True(t, strings.Contains(err.Error(), "saved.json"), err)
			return
		}
		if format == "text" {
			harmlessText(t, b.String())
		}
	})
}

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
