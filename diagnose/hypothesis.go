package diagnose

import (
	"math"

	"lostair/diagnose/airflow"
)

// hypothesis is a set of faults and of wrong rows.
type hypothesis struct {
	faults []*variant
	rows   []*wrong
}

// wrong is a row taken to be mistaken in one definite way.
type wrong struct {
	obs    int
	y      float64        // the value that would fit, if it is known
	gain   float64        // of the instrument at that value
	fresh  float64        // likewise
	drop   bool           // nothing is known of what it should have been
	cfg    int            // configuration in which it was really read, or -1: it is the value that is wrong
	probe  *airflow.Probe // where it was really read, nil: as written
	total  bool           // it is a total pressure, not a static one
	log    float64        // log of |dy/d(written)|, or of the density if dropped
	prior  float64
	reason string
	coarse bool // out by a unit, a sign or a decimal place
}

// fitted is a hypothesis fitted to the readings.
type fitted struct {
	hypothesis
	at       point
	evidence float64 // log p(readings | hypothesis), severities and θ marginalised
	prior    float64 // log
	ok       bool
	key      string     // of the hypothesis
	swap     [2]int     // which variant was put in place of which
	settled  bool       // a further step would gain nothing
	hopeless bool       // given up on the way
	grown    bool       // the search has grown from it
	fit      *fitDetail // at the last linearisation
	both     *pairFit   // fitted to the survey and a baseline at once
	gain     float64    // of evidence by that
	apart    bool       // that could not be
}

func (f *fitted) score() float64 {
	if !f.ok || math.IsNaN(f.evidence) {
		return math.Inf(-1)
	}
	return f.evidence + f.prior
}
