package readings

import (
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/readings/units"
	"lostair/testdata/published"
)

func TestPublished(t *testing.T) {
	published.Run(t, "readings", map[string]published.Check{
		"traverse position":             func(r published.Row) float64 { return traversePosition(r, 1) },
		"traverse position of a duct":   func(r published.Row) float64 { return traversePosition(r, r.SI("diameter")) },
		"mean of a traverse":            meanOfTraverse,
		"mean of repeats":               func(r published.Row) float64 { return repeatsOf(r).Value },
		"standard deviation of repeats": func(r published.Row) float64 { return repeatsOf(r).SD },
	})
}

func traversePosition(r published.Row, diameter float64) float64 {
	m := LogLinear
	if r.Text("method") == "equal-area" {
		m = EqualArea
	}
	x, err := TraversePositions(m, int(r.SI("n")), diameter)
	require.NoError(r.T(), err)
	return x[int(r.SI("i"))-1]
}

// meanOfTraverse loads a readings file with the traverse in it.
func meanOfTraverse(r published.Row) float64 {
	f := strings.Fields(r.Text("values"))
	unit := f[len(f)-1]
	file := "open,point,quantity,value,unit,position\n"
	for i, v := range f[:len(f)-1] {
		file += fmt.Sprintf("all,T,%s,%s,%s,%d\n", r.Text("quantity"), v, unit, i+1)
	}
	s, problems := Load(strings.NewReader(file), "traverse.csv", units.US)
	require.NoError(r.T(), problems.Err())
	require.Len(r.T(), s.Readings, 1)
	require.Equal(r.T(), len(f)-1, s.Readings[0].Positions)
	return s.Readings[0].Value
}

// repeatsOf reduces the values of a data file as repeats of one reading.
func repeatsOf(r published.Row) *Reading {
	b, err := os.ReadFile(filepath.Join("..", "testdata", "published", "nist", r.Text("data")))
	require.NoError(r.T(), err)
	var rows []Row
	out := &Reading{}
	for _, line := range strings.Split(string(b), "\n") {
		if line == "" || line[0] == '#' {
			continue
		}
		v, err := strconv.ParseFloat(line, 64)
		require.NoError(r.T(), err)
		out.Rows = append(out.Rows, len(rows))
		rows = append(rows, Row{Value: v})
	}
	out.repeats(rows)
	return out
}

// X3: a page prints 0.919 and 0.975 D for the last two of ten positions.
func TestBadTraversePositions(t *testing.T) {
	x, err := TraversePositions(EqualArea, 10, 1)
	require.NoError(t, err)
	require.Greater(t, 0.919-x[8], 0.0005)
	require.Greater(t, 0.975-x[9], 0.0005)
}

// P5: averaging pressures in place of their roots reads high.
func TestMeanOfPressuresWouldReadHigh(t *testing.T) {
	s, problems := Load(strings.NewReader("open,point,quantity,value,unit,position\n"+
		"all,T,velocity_pressure,0.16,inH2O,1\nall,T,velocity_pressure,0.25,inH2O,2\nall,T,velocity_pressure,0.36,inH2O,3\n"), "f", units.US)
	require.NoError(t, problems.Err())
	mean := units.Pressure.ToSI(units.US, (0.16+0.25+0.36)/3)
	require.InDelta(t, 0.027, mean/s.Readings[0].Value-1, 0.001)
}
