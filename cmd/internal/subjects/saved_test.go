package subjects

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/stretchr/testify/require"

	"lostair/report/show"
)

// FuzzShow: whatever a saved result holds, showing it ends in a result or in an
// error that says which file, and no text of it controls a terminal.
func FuzzShow(f *testing.F) {
	files, err := filepath.Glob("../../../report/testdata/*.json")
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
		err := ShowSaved(&b, "saved.json", data, []string{"", "us"}[how>>5%2], View{Format: format, Style: show.Style{All: how&8 != 0, Plain: how&16 != 0, Width: 40 + int(how)}})
		if err != nil {
			require.True(t, strings.Contains(err.Error(), "saved.json"), err)
			return
		}
		if format == "text" {
			inert(t, b.String())
		}
	})
}

// inert holds no control character but line ends, and none that can't
// be seen or that turns the direction of writing.
func inert(t *testing.T, s string) {
	t.Helper()
	require.True(t, utf8.ValidString(s))
	for i, r := range s {
		if r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r)) {
			require.Failf(t, "a character that controls", "%U at %d: %q", r, i, s[max(0, i-20):min(len(s), i+20)])
		}
	}
}
