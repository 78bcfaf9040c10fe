package handbook

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/readings/units"
)

// Values seen in print that must not be used: the program's own differ from them.

// X2: a table has 12.682 psia at 4,000 ft; its formula and the program 12.692.
func TestBadPressureAtFourThousandFeet(t *testing.T) {
	psi, err := units.Convert(Barometer(4000*0.3048), units.Pressure, "psi")
	require.NoError(t, err)
	require.Greater(t, psi-12.682, 0.005)
}

// X6: 0.065 lb/ft³ for standard air.
func TestBadStandardDensity(t *testing.T) {
	require.Greater(t, Density(294.26, 101325, 0)/16.018463, 0.0745)
	require.Greater(t, StandardDensity/16.018463, 0.0745)
}

// Moist air against a general psychrometric library (testdata/solver/moist_air.js),
// whose ideal gases leave out what compressibility and the enhancement of the
// vapour pressure make: 0.06 %.
func TestDensityAgreesWithPsychrometricLibrary(t *testing.T) {
	f, err := os.Open(filepath.Join("..", "..", "testdata", "solver", "moist_air.csv"))
	require.NoError(t, err)
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	require.NoError(t, err)
	require.Greater(t, len(rows), 100)
	var worst float64
	for _, row := range rows[1:] {
		var v [4]float64
		for i := range v {
			v[i], err = strconv.ParseFloat(row[i], 64)
			require.NoError(t, err)
		}
		e := Density(v[0]+273.15, v[1], v[2])/v[3] - 1
		worst = max(worst, math.Abs(e))
		require.LessOrEqual(t, math.Abs(e), 6e-4, "%v", row)
	}
	t.Logf("%d states, worst relative difference %.1e", len(rows)-1, worst)
}
