package trial

import (
	"hash/fnv"
	"strconv"
	"strings"

	"lostair/diagnose/trial/internal/dice"
	"lostair/diagnose/trial/survey"
	"lostair/readings"
	"lostair/readings/units"
)

// Read takes one more reading of the case's plant as it is on the day of the
// survey, faults included: SI, with the lasting error that the instrument has
// in the survey and the n-th fresh one, rounded as it would be written down.
// The instrument is the survey's own for the quantity. Equal arguments give
// equal values; n tells repeats apart. An error says that the point, gate or
// port is not there, or can't be read so. Not safe for concurrent use.
func (c *Case) Read(open readings.Open, hoseOff []string, point string, q units.Quantity, n int) (float64, error) {
	r := c.request(open, hoseOff, point, q)
	y, per, err := c.world.truth(&r)
	if err != nil {
		return 0, err
	}
	h := fnv.New64a()
	_, _ = h.Write([]byte(strings.Join([]string{open.String(), strings.Join(hoseOff, "+"), point, q.String(), strconv.Itoa(n)}, "\x00")))
	r.Put(c.System, c.world.show(dice.New(c.Seed^h.Sum64(), dice.StreamRead), &r, y, per))
	return r.Value(c.System), nil
}

// Exact is Read without any error of the instrument, for a reading of the
// plant as it is.
func (c *Case) Exact(open readings.Open, hoseOff []string, point string, q units.Quantity) (float64, error) {
	r := c.request(open, hoseOff, point, q)
	y, _, err := c.world.truth(&r)
	return y, err
}

// Mended is the plant with all its faults mended, to read in; all else is as it was.
func (c *Case) Mended() *Case {
	m := *c
	m.flaws, m.world = nil, newWorld(c.built, day{seed: c.Seed, stream: dice.StreamSurvey})
	return &m
}

func (c *Case) request(open readings.Open, hoseOff []string, point string, q units.Quantity) survey.Row {
	r := survey.Row{Open: open, HoseOff: hoseOff, Point: point, Quantity: q, Meter: c.world.meters[0]}
	switch q {
	case units.MeanVelocity, units.CentreVelocity, units.FlowRate:
		r.Meter = c.world.meters[2]
	case units.VelocityPressure:
		r.Meter = c.world.meters[1]
	}
	return r
}

// Instrument is the id of the instrument with which Read takes a quantity; ""
// where the system names none.
func (c *Case) Instrument(q units.Quantity) string {
	r := c.request(readings.Open{}, nil, "", q)
	return r.Meter.ID
}
