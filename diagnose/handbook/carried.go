package handbook

import "math"

// near is the relative change of a Reynolds number within which the last
// friction factor is carried on by its series in ln Re: the error is of third
// order, some 1e-9. Within foretold the series gives the root that Colebrook's
// equation is solved from.
const (
	near     = 1e-2
	foretold = 0.3
)

// Carried is a friction factor that is carried on from the last one worked out.
// Set Root before the first; it may be any guess.
type Carried struct {
	Root          float64 // 1/√f, a first guess
	re, f, f1, f2 float64 // Reynolds number, factor, its derivatives by ln Re
}

// Factor returns the friction factor and its derivative by ln Re, as FrictionFactor
// has it, with Colebrook's part kept.
func (k *Carried) Factor(re, rel float64) (f, df float64) {
	if re <= laminarEnd {
		f = laminarFactor / max(re, 1e-3)
		return f, -f
	}
	d := re - k.re
	far := math.Abs(d)
	if far < foretold*k.re {
		d /= k.re
		d *= 1 - d*(0.5-d/3)
		f, df = k.f+d*(k.f1+0.5*d*k.f2), k.f1+d*k.f2
	}
	if far >= near*k.re {
		if far < foretold*k.re {
			k.Root = 1 / math.Sqrt(f)
		}
		k.re = re
		k.f, k.f1, k.f2, k.Root = colebrookSeries(re, rel, k.Root)
		f, df = k.f, k.f1
	}
	if re < turbulentStart {
		f, df = blend(re, f, df)
	}
	return f, df
}
