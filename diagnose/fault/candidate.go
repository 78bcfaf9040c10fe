package fault

// Interval is a value with its 90 % interval, in SI units.
type Interval struct{ Value, Low, High float64 }

// Candidate is a possible fault and the probability that it is present.
type Candidate struct {
	Kind        Kind
	Where       string
	Probability float64
}
