package numeric

import (
	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Nearby is what some readings that a search did without still tell under a
// fitted hypothesis, as linear about the fit: the velocity in a mouth bears on
// its own port's flow, and on little else that was searched for.
type Nearby struct {
	List  []*NearReading
	Spare float64       // variance of each parameter left out
	chol  Cholesky      // of the covariance of the readings
	alpha *mat.VecDense // that⁻¹ times how far they are from what the fit makes of them
}

// NearReading is one such reading.
type NearReading struct {
	Row, Gz []float64                       // derivatives by parameters and severities
	Lost    []float64                       // and by the parameters left out
	With    func(row, gz []float64) float64 // covariance with another quantity apart from those
	E       float64                         // measured less expected
	Noise   float64                         // variance of the fresh error
}

// Covariance is that of two readings, or the variance of one.
func (x *Nearby) Covariance(a, b *NearReading) float64 {
	v := a.With(b.Row, b.Gz) + x.Spare*floats.Dot(a.Lost, b.Lost)
	if a == b {
		v += a.Noise
	}
	return v
}

// Factor gets it ready; false if there is nothing in it, or no covariance.
func (x *Nearby) Factor() bool {
	n := len(x.List)
	if n == 0 {
		return false
	}
	S, e := x.chol.Room(n), mat.NewVecDense(n, nil)
	for i := range x.List {
		e.SetVec(i, x.List[i].E)
		for j := i; j < n; j++ {
			S.SetSym(i, j, x.Covariance(x.List[i], x.List[j]))
		}
	}
	x.alpha = mat.NewVecDense(n, nil)
	return x.chol.Factorize(S) && Solved(x.chol.SolveVecTo(x.alpha, e))
}

// On is what the readings add to the mean of a quantity and take from its variance.
func (x *Nearby) On(row, gz, lost []float64) (shift, less float64) {
	if x == nil {
		return 0, 0
	}
	c := mat.NewVecDense(len(x.List), nil)
	for k := range x.List {
		r := x.List[k]
		c.SetVec(k, r.With(row, gz)+x.Spare*floats.Dot(r.Lost, lost))
	}
	return mat.Dot(c, x.alpha), SolveDot(&x.chol, c)
}
