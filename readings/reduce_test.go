package readings

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lostair/readings/units"
)

// survey writes a file with a row a value; "@n" behind a value is a position.
func survey(quantity, unit string, values ...string) string {
	var b strings.Builder
	b.WriteString("open,point,quantity,value,unit,position\n")
	for _, v := range values {
		v, position, _ := strings.Cut(v, "@")
		fmt.Fprintf(&b, "all,S1,%s,%s,%s,%s\n", quantity, v, unit, position)
	}
	return b.String()
}

func one(t *testing.T, csv string) Reading {
	t.Helper()
	s := load(t, csv)
	require.Len(t, s.Readings, 1)
	return s.Readings[0]
}

// Velocity pressures 0.16, 0.25 and 0.36 in. have a mean root of 0.50, which
// is 2,002.5 fpm with the constant 4005; the root of their mean would be
// 2,029 fpm. Arithmetic (a public tutorial has the same triple).
func TestTraverseAveragesRoots(t *testing.T) {
	r := one(t, survey("velocity_pressure", "inH2O", "0.16@1", "0.25@2", "0.36@3"))
	in, err := units.Convert(r.Value, units.Pressure, "inH2O")
	require.NoError(t, err)
	assert.InEpsilon(t, 2002.5, 4005*math.Sqrt(in), 1e-14)
	assert.Equal(t, 3, r.Positions)
	assert.Equal(t, 1, r.Count)
	assert.Zero(t, r.SD)
}

// Nine readings in a square duct, mean 400 fpm exactly: NAVFAC MO-114 vol. 3
// ch. 2, question Q2-2 (expected value recomputed).
func TestTraverseOfVelocities(t *testing.T) {
	r := one(t, survey("velocity", "fpm", "300@1", "450@2", "300@3", "450@4", "450@5", "600@6", "300@7", "450@8", "300@9"))
	fpm, err := units.Convert(r.Value, units.Velocity, "fpm")
	require.NoError(t, err)
	assert.InEpsilon(t, 400, fpm, 1e-14)
	assert.Equal(t, 9, r.Positions)
}

// Repeats against certified means and standard deviations: NIST StRD,
// univariate summary statistics, NumAcc1, NumAcc4 (stiff) and Mavro; values
// read in public test suites that quote NIST.
func TestRepeats(t *testing.T) {
	acc4 := []string{"10000000.2"}
	for range 500 {
		acc4 = append(acc4, "10000000.1", "10000000.3")
	}
	var mavro []string
	for _, k := range []int{180, 170, 180, 190, 180, 170, 150, 140, 150, 150, 170, 180, 180, 190, 190, 210, 200, 160, 140, 130, 130, 150, 150, 160, 150,
		140, 130, 140, 150, 140, 150, 160, 150, 160, 190, 200, 200, 210, 220, 230, 240, 250, 270, 260, 260, 260, 270, 260, 250, 240} {
		mavro = append(mavro, fmt.Sprintf("2.%05d", k))
	}
	for _, c := range []struct {
		name          string
		values        []string
		mean, sd, tol float64
	}{
		{"NumAcc1", []string{"10000001", "10000003", "10000002"}, 10000002, 1, 1e-15},
		{"NumAcc4", acc4, 10000000.2, 0.1, 1e-7},
		{"Mavro", mavro, 2.001856, 4.29123454003053e-04, 1e-11},
	} {
		r := one(t, survey("static_pressure", "Pa", c.values...))
		assert.Equal(t, len(c.values), r.Count, c.name)
		assert.InEpsilon(t, c.mean, r.Value, 1e-14, c.name)
		assert.InEpsilon(t, c.sd, r.SD, c.tol, c.name)
		assert.Len(t, r.Rows, len(c.values))
		assert.Zero(t, r.Positions)
	}
}

// A traverse taken twice is two passes; a single position read again is not.
func TestRepeatedTraverse(t *testing.T) {
	r := one(t, survey("velocity", "m/s", "20@1", "22@2", "21@1", "23@2"))
	assert.Equal(t, 2, r.Count)
	assert.Equal(t, 2, r.Positions)
	assert.InEpsilon(t, 21.5, r.Value, 1e-15)
	assert.InEpsilon(t, math.Sqrt(0.5), r.SD, 1e-14) // of 21 and 22
	r = one(t, survey("velocity", "m/s", "20@1", "22@2", "22@1"))
	assert.Equal(t, 1, r.Count)
	assert.InEpsilon(t, 21.5, r.Value, 1e-15)
	assert.Zero(t, r.SD)
	r = one(t, survey("velocity_pressure", "Pa", "100@1", "400@2", "144@1", "484@2"))
	assert.InEpsilon(t, 256, r.Value, 1e-14)        // mean root 16
	assert.InEpsilon(t, 64/math.Sqrt2, r.SD, 1e-14) // of 15² and 17²
}

// Rows that differ in anything but value, note and position are readings of
// their own.
func TestWhatMakesAReading(t *testing.T) {
	const head = "date,open,point,quantity,value,unit,instrument,hose_off,position,note\n"
	const first = "2026-03-02,b+a,S1,velocity_pressure,100,Pa,gauge,a,,one\n"
	for row, same := range map[string]bool{
		"2026-03-02,a+b,S1,velocity_pressure,120,Pa,gauge,a,,other note": true,
		"2026-03-02,a+b,S1,velocity_pressure,120,,gauge,a,,":             true, // the system's unit is Pa
		"2026-03-03,a+b,S1,velocity_pressure,120,Pa,gauge,a,,":           false,
		",a+b,S1,velocity_pressure,120,Pa,gauge,a,,":                     false,
		"2026-03-02,a,S1,velocity_pressure,120,Pa,gauge,a,,":             false,
		"2026-03-02,all,S1,velocity_pressure,120,Pa,gauge,a,,":           false,
		"2026-03-02,a+b,S2,velocity_pressure,120,Pa,gauge,a,,":           false,
		"2026-03-02,a+b,S1,suction,120,Pa,gauge,a,,":                     false,
		"2026-03-02,a+b,S1,velocity_pressure,1.2,mbar,gauge,a,,":         false,
		"2026-03-02,a+b,S1,velocity_pressure,120,Pa,other,a,,":           false,
		"2026-03-02,a+b,S1,velocity_pressure,120,Pa,gauge,,,":            false,
		"2026-03-02,a+b,S1,velocity_pressure,120,Pa,gauge,a,1,":          false,
	} {
		s, list := Load(strings.NewReader(head+first+row+"\n"), "s.csv", units.Metric)
		require.NoError(t, list.Err(), row)
		if same {
			assert.Len(t, s.Readings, 1, row)
			assert.Equal(t, []int{0, 1}, s.Readings[0].Rows)
			assert.Equal(t, 110.0, s.Readings[0].Value)
		} else {
			assert.Len(t, s.Readings, 2, row)
		}
	}
}

// The order of a traverse's rows does not matter, and its value lies between
// the least and the greatest.
func TestTraverseLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		vp := rapid.SliceOfN(rapid.Float64Range(0, 2000), 2, 12).Draw(t, "vp")
		order := rapid.Permutation(vp).Draw(t, "order")
		a, b := traverseOf(vp), traverseOf(order)
		assert.InDelta(t, a.Value, b.Value, 1e-9)
		lo, hi, mean := vp[0], vp[0], 0.0
		for _, v := range vp {
			lo, hi, mean = min(lo, v), max(hi, v), mean+v/float64(len(vp))
		}
		assert.GreaterOrEqual(t, a.Value, lo-1e-9)
		assert.LessOrEqual(t, a.Value, min(hi, mean)+1e-9) // roots weigh high pressures less
	})
}

func traverseOf(vp []float64) Reading {
	var r Reading
	r.Quantity = units.VelocityPressure
	var rows []Row
	for i, v := range vp {
		rows = append(rows, Row{Value: v, Position: i + 1})
		r.Rows = append(r.Rows, i)
	}
	r.traverse(rows)
	return r
}
