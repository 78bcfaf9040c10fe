package kit

import (
	"bufio"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// OnRecord holds lines such as "where: 1.5 2" against those of a file, numbers to what
// rounding may move: a fit that ends elsewhere by a thousandth of its error has taken
// other steps. UPDATE_GOLDEN=1 writes the file anew.
func OnRecord(t *testing.T, file, now string) {
	t.Helper()
	if os.Getenv("UPDATE_GOLDEN") != "" {
		require.NoError(t, os.MkdirAll(filepath.Dir(file), 0o777))
		require.NoError(t, os.WriteFile(file, []byte(now), 0o666))
	}
	defer func() {
		if t.Failed() {
			t.Logf("if what changed is right, UPDATE_GOLDEN=1 writes %s anew", file)
		}
	}()
	kept, err := os.ReadFile(file)
	require.NoError(t, err)
	a, b := bufio.NewScanner(strings.NewReader(string(kept))), bufio.NewScanner(strings.NewReader(now))
	bad := 0
	for a.Scan() {
		require.True(t, b.Scan(), "it ends before %q", a.Text())
		head, x := cutNumbers(t, a.Text())
		then, y := cutNumbers(t, b.Text())
		require.Equal(t, head, then)
		require.Len(t, y, len(x), head)
		for i := range x {
			if x[i] == y[i] || math.IsNaN(x[i]) && math.IsNaN(y[i]) || math.Abs(x[i]-y[i]) <= 1e-4*math.Abs(x[i])+1e-6 {
				continue
			}
			t.Errorf("%s: number %d is %.8g, not %.8g", head, i+1, y[i], x[i])
			if bad++; bad > 20 {
				t.FailNow()
			}
		}
	}
	require.False(t, b.Scan(), "it goes on with %q", b.Text())
}

// cutNumbers parts a line into what it is about and its numbers.
func cutNumbers(t *testing.T, line string) (string, []float64) {
	t.Helper()
	i := strings.LastIndex(line, ":")
	require.Positive(t, i, line)
	var out []float64
	for _, f := range strings.Fields(line[i+1:]) {
		v, err := strconv.ParseFloat(f, 64)
		require.NoError(t, err, line)
		out = append(out, v)
	}
	return line[:i], out
}
