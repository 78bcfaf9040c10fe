package readings

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/readings/units"
)

// FuzzLoad: whatever the file, no panic; every problem has a place within the
// file and says what to do; a survey is finite and comes back from Write.
// Allowed losses on the way: lines and columns, comments, the spelling of
// quantities, dialect.
func FuzzLoad(f *testing.F) {
	files, err := filepath.Glob("testdata/bad/*.csv")
	require.NoError(f, err)
	require.NotEmpty(f, files)
	for _, path := range files {
		data, err := os.ReadFile(path)
		require.NoError(f, err)
		f.Add(data)
	}
	f.Add([]byte(plain))
	f.Add([]byte("sep=;\nopen;point;quantity;value;position;note\nall;S1;velocity_pressure;1,5;1;'=x\nall;S1;velocity_pressure;2;2;\n"))
	f.Add([]byte("point\topen\tvalue\tquantity\nS1\tnone\t-1\tsuction\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		s, list := Load(bytes.NewReader(data), "f.csv", units.Metric)
		lines := bytes.Count(data, []byte("\n")) + bytes.Count(data, []byte("\r")) + 1
		for _, p := range list {
			assert.True(t, p.Line >= 0 && p.Line <= lines && p.Column >= 0 && p.Column <= len(data)+1, p.String())
			assert.NotEmpty(t, p.What)
			assert.NotEmpty(t, p.Do)
		}
		require.Equal(t, list.Err() != nil, s == nil)
		if s == nil {
			return
		}
		sound(t, s)
		var b bytes.Buffer
		require.NoError(t, Write(&b, s.Rows, units.US))
		again, list := Load(bytes.NewReader(b.Bytes()), "f.csv", units.US)
		require.NoError(t, list.Err(), b.String())
		assert.Equal(t, bare(s.Rows), bare(again.Rows))
		assert.Equal(t, s.Readings, again.Readings)
	})
}

// sound holds a survey to what every later stage relies on.
func sound(t *testing.T, s *Survey) {
	used := make([]int, len(s.Rows))
	for i := range s.Readings {
		r := &s.Readings[i]
		assert.GreaterOrEqual(t, r.Count, 1)
		assert.False(t, math.IsNaN(r.Value))
		assert.NotEmpty(t, r.Point)
		assert.True(t, utf8.ValidString(r.Point))
		assert.NotEqual(t, units.NoQuantity, r.Quantity)
		for _, row := range r.Rows {
			used[row]++
		}
	}
	require.NotEmpty(t, s.Rows)
	for i, n := range used {
		assert.Equal(t, 1, n, "row %d", i)
		assert.False(t, math.IsNaN(s.Rows[i].Value) || math.IsInf(s.Rows[i].Value, 0))
	}
}

func bare(rows []Row) []Row {
	out := append([]Row(nil), rows...)
	for i := range out {
		out[i].Line, out[i].Columns = 0, Columns{}
	}
	return out
}
