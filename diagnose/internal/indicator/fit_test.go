package indicator

import (
	"math"
	"testing"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
)

// What was learned is kept in few columns: V·Vᵀ is the same, but for what is hardly known.
func TestFewColumnsKnowAsMuch(t *testing.T) {
	require.Nil(t, narrowed(nil))
	few := mat.NewDense(8, 4, nil)
	require.Same(t, few, narrowed(few))
	wide := mat.NewDense(8, 20, nil)
	for i := range 8 {
		for j := range 20 {
			if i != 3 { // of which nothing is known
				wide.Set(i, j, math.Sin(float64(1+i*20+j))/3)
			}
		}
	}
	got := narrowed(wide)
	_, k := got.Dims()
	require.LessOrEqual(t, k, 7)
	var a, b mat.Dense
	a.Mul(wide, wide.T())
	b.Mul(got, got.T())
	for i := range 8 {
		for j := range 8 {
			require.InDelta(t, a.At(i, j), b.At(i, j), leastTaught)
		}
	}
}

// What a survey says of an indicator beside another that is free: with I the information,
// p the pull and the other eliminated, by hand I₀₀ − I₀₁²/I₁₁ and p₀ − p₁ I₀₁/I₁₁.
func TestEstimateBesideAnother(t *testing.T) {
	k := &Fit{Filter: -1, List: []*Indicator{{Unit: 2}, {Unit: 3}, {Unit: 5, Kind: fault.FilterLoaded, Usual: 10}},
		Info: mat.NewSymDense(3, []float64{10, 4, 2, 4, 8, 1, 2, 1, 6}), Pull: mat.NewVecDense(3, []float64{6, 4, 3}),
		Fresh: mat.NewSymDense(3, []float64{5, 1, 0, 1, 4, 0, 0, 0, 3}), Last: mat.NewSymDense(3, []float64{2, 1, 0, 1, 3, 0, 0, 0, 1})}
	alone := k.Estimate(0, nil)
	require.InDelta(t, 2*6/10.0, alone.Value, 1e-6)
	require.InDelta(t, 2/math.Sqrt(10), alone.Sd, 1e-6)
	require.InDelta(t, 2/10.0*math.Sqrt(5), alone.Fresh, 1e-6)
	require.InDelta(t, 2/10.0*math.Sqrt(2), alone.Lasting, 1e-6)
	require.Equal(t, alone, k.Estimate(0, []int{0}), "beside itself")
	beside := k.Estimate(0, []int{1}) // with c = (1, −4/8): 10 − 2 and 6 − 2
	require.InDelta(t, 2*4/8.0, beside.Value, 1e-3)
	require.InDelta(t, 2/math.Sqrt(8), beside.Sd, 1e-3)
	require.InDelta(t, 2/8.0*math.Sqrt(5-1+4/4.0), beside.Fresh, 1e-3)
	require.InDelta(t, 2/8.0*math.Sqrt(2-1+3/4.0), beside.Lasting, 1e-3)

	// The filter's state is another one each day: its usual change of two units, seen
	// through what the readings have in common with it.
	k.Filter = 2
	require.InDelta(t, 2/10.0*math.Sqrt(5+2*2*4), k.Estimate(0, nil).Fresh, 1e-6)
	require.InDelta(t, 2/8.0*math.Sqrt(5+math.Pow(2-1/2.0, 2)*4), k.Estimate(0, []int{1}).Fresh, 1e-3)
	f := k.Estimate(2, nil) // a share by which it has grown: 5·3/6 = 2.5
	require.InDelta(t, 2*math.Sqrt(3.5)-2, f.Value, 1e-6)
	require.InDelta(t, 5/math.Sqrt(6)/math.Sqrt(3.5), f.Sd, 1e-6)
	// whichever it is in the list: seen through what it has in common with what is new
	first := &Fit{Filter: 0, List: []*Indicator{{Unit: 5, Kind: fault.FilterLoaded, Usual: 10}, {Unit: 2}},
		Info: mat.NewSymDense(2, []float64{6, 2, 2, 10}), Fresh: mat.NewSymDense(2, []float64{3, 0, 0, 5})}
	all := first.freshAll()
	require.Equal(t, []float64{3 + 4*36, 4 * 12, 5 + 4*4}, []float64{all.At(0, 0), all.At(0, 1), all.At(1, 1)})
	first.Filter = -1
	require.Equal(t, 3.0, first.freshAll().At(0, 0))
	k.Info.SetSym(0, 0, 1e-4)
	require.Equal(t, Change{None: true}, k.Estimate(0, nil), "of which it says next to nothing")

	// All together, each drawn to nothing by its usual change: (I + 1)⁻¹ p.
	k.Info.SetSym(0, 0, 10)
	k.Filter = -1
	var inv mat.Dense
	require.NoError(t, inv.Inverse(mat.NewDense(3, 3, []float64{11, 4, 2, 4, 9, 1, 2, 1, 7})))
	var at mat.VecDense
	at.MulVec(&inv, k.Pull)
	var ff mat.Dense
	ff.Product(&inv, k.Fresh, &inv)
	for i, c := range k.SharedOut(nil) {
		u := k.List[i].Unit
		require.InDelta(t, u*at.AtVec(i), c.Value, 1e-9)
		require.InDelta(t, u*math.Sqrt(inv.At(i, i)), c.Sd, 1e-9)
		require.InDelta(t, u*math.Sqrt(ff.At(i, i)), c.Fresh, 1e-9)
	}
	require.NoError(t, inv.Inverse(mat.NewDense(3, 3, []float64{10 + activeRidge, 4, 2, 4, 9, 1, 2, 1, 7})))
	at.MulVec(&inv, k.Pull)
	require.InDelta(t, 2*at.AtVec(0), k.SharedOut([]int{0})[0].Value, 1e-9, "what is active is not drawn")
}

// A slip explains a row if its value comes within 5 % of what fits and twice the
// difference of two readings' fresh errors; the nearest does.
func TestSlipsThatExplainARow(t *testing.T) {
	slip := func(y, fresh float64, k fault.SlipKind) *fit.Wrong {
		return &fit.Wrong{Observation: 3, Y: y, Fresh: fresh, Cfg: -1, Reason: fault.Slip{Kind: k}}
	}
	a, b := fault.SlipPoint, fault.SlipSign
	for _, x := range []struct {
		ways []*fit.Wrong
		want fault.SlipKind
	}{
		{nil, fault.SlipUnknown},
		{[]*fit.Wrong{slip(-104, 0, a)}, a}, {[]*fit.Wrong{slip(-106, 0, a)}, fault.SlipUnknown}, {[]*fit.Wrong{slip(104, 0, a)}, fault.SlipUnknown},
		{[]*fit.Wrong{slip(-106, 1, a)}, a}, {[]*fit.Wrong{slip(-108, 1, a)}, fault.SlipUnknown}, // 5 + 2.83 %
		{[]*fit.Wrong{slip(-96, 0, a), slip(-103, 0, b)}, b}, {[]*fit.Wrong{slip(-103, 0, b), slip(-96, 0, a)}, b},
		{[]*fit.Wrong{{Observation: 2, Y: -100, Cfg: -1, Reason: fault.Slip{Kind: a}}}, fault.SlipUnknown},
		{[]*fit.Wrong{{Observation: 3, Y: -100, Cfg: 0, Reason: fault.Slip{Kind: a}}}, fault.SlipUnknown},
		{[]*fit.Wrong{{Observation: 3, Y: -100, Cfg: -1, Drop: true, Reason: fault.Slip{Kind: a}}}, fault.SlipUnknown},
	} {
		require.Equal(t, x.want, SlipOf(x.ways, 3, nil, -100).Kind, "%+v", x.ways)
	}
}
