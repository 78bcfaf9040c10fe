package units

// ToSI converts v from the unit of d in s.
func (d Dimension) ToSI(s System, v float64) float64 {
	return d.bare(s).toSI(v)
}

// FromSI converts si into the unit of d in s.
func (d Dimension) FromSI(s System, si float64) float64 {
	return d.bare(s).fromSI(si)
}

// Convert gives si in the unit that symbol names, in any spelling. The error
// is an *Error.
func Convert(si float64, d Dimension, symbol string) (float64, error) {
	u := d.find(symbol)
	if u == nil {
		return 0, unknownUnit(symbol, symbol, d)
	}
	return u.fromSI(si), nil
}

func (u *unit) toSI(v float64) float64    { return (v + u.offset) * u.num / u.den }
func (u *unit) fromSI(si float64) float64 { return si*u.den/u.num - u.offset }

// bare is the unit of a number without one.
func (d Dimension) bare(s System) *unit {
	return d.exactly(d.Symbol(s))
}
