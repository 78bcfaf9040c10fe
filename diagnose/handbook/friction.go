package handbook

import "math"

// FrictionFactor returns Darcy's friction factor f and its derivative by the
// Reynolds number. rel is the roughness over the diameter; x is a first guess
// of 1/√f (any positive number; 0: none) and the root comes back for reuse.
//
// Turbulent: Colebrook's equation 1/√f = −2 log₁₀(rel/3.7 + 2.51/(Re √f)),
// C. F. Colebrook, J. Inst. Civil Eng. 11 (1939) 133–156, solved by Newton to
// rounding. Laminar: 64/Re (Hagen–Poiseuille). Between Re 2,000 and 4,000
// the two are blended smoothly, so that Newton on the network sees no kink.
func FrictionFactor(re, rel, x float64) (f, df, root float64) {
	if re <= laminarEnd {
		if re < 1e-3 {
			re = 1e-3
		}
		return laminarFactor / re, -laminarFactor / (re * re), x
	}
	ft, dft, x := colebrook(re, rel, x)
	if re >= turbulentStart {
		return ft, dft, x
	}
	f, df = blend(re, ft, dft*re)
	return f, df / re, x
}

// blend goes from laminar to turbulent; derivatives are by ln Re.
func blend(re, ft, dft float64) (f, df float64) {
	const width = turbulentStart - laminarEnd
	fl := laminarFactor / re
	u := (re - laminarEnd) / width
	w, dw := u*u*(3-2*u), 6*u*(1-u)/width*re
	return fl + w*(ft-fl), -fl + w*(dft+fl) + dw*(ft-fl)
}

// colebrookStep is the relative step after which Halley's iteration is exact to
// rounding: its error is the step cubed times a factor well below one.
const colebrookStep = 2e-4

func colebrook(re, rel, x float64) (f, df, root float64) {
	f, fu, _, x := colebrookSeries(re, rel, x)
	return f, fu / re, x
}

// colebrookSeries returns f with its first and second derivative by ln Re, and
// the root 1/√f.
func colebrookSeries(re, rel, x float64) (f, f1, f2, root float64) {
	if x <= 0 {
		// Haaland's explicit formula is within 2 % and needs one step more.
		x = -1.8 * math.Log10(math.Pow(rel/colebrookRough, 1.11)+6.9/re)
	}
	const k = 2 / math.Ln10
	a, b := rel/colebrookRough, colebrookSmooth/re
	for range 20 {
		s := a + b*x
		g := x + k*math.Log(s)
		t := b / s
		d := g / (1 + k*t)
		// Halley's step: g″ = −k t²; what is left is of third order in d
		x -= d / (1 - 0.5*d*k*t*t/(1+k*t))
		if math.Abs(d) < colebrookStep*x {
			break
		}
	}
	// x(u) from the implicit equation, u = ln Re: x' = w·x with w = k t/(1+k t)
	// and t' = −t (1 + t (x'−x))
	t := b / (a + b*x)
	v := 1 / (1 + k*t)
	w := k * t * v
	x1 := w * x
	x2 := -k*t*(1+t*(x1-x))*v*v*x + w*x1
	y := 1 / x
	f = y * y
	f1 = -2 * f * y * x1
	f2 = f * y * (6*y*x1*x1 - 2*x2)
	return f, f1, f2, x
}

// CentreRatio returns the velocity on the axis over the mean velocity of
// developed flow with Darcy's factor f: 1 + 1.326 √f, from the logarithmic
// law (F. M. White, Fluid Mechanics; value from memory), 2 when laminar.
func CentreRatio(f float64) float64 { return min(1+centreSlope*math.Sqrt(f), laminarCentre) }

// CentreSlopes returns CentreRatio with its slope by f.
func CentreSlopes(f float64) (c, byF float64) {
	c = CentreRatio(f)
	if c < laminarCentre {
		byF = centreSlope / (2 * math.Sqrt(f))
	}
	return c, byF
}

// CentreAtMouth takes such a ratio c and a slope dc of it to a port's mouth: in a duct the
// profile is developed, there it is anything from flat to that.
func CentreAtMouth(c, dc float64) (float64, float64) {
	return 1 + mouthProfile*(c-1), mouthProfile * dc
}
