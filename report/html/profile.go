package html

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/figure"
	"lostair/report/show"
)

// Profiles that a page shows: all up to mostProfiles, beyond that those with
// the largest deviations, so that a page of a large plant stays quick to open.
const mostProfiles = 60

// profile is one port's way to the fan: static pressure as the system file
// lets expect it, and the readings along it.
type profile struct {
	port  int
	open  readings.Open
	way   []airflow.Station
	marks []profileMark
	worst float64 // largest |drift|
}

// profileMark is what was read at one point of the way.
type profileMark struct {
	point              string
	along              float64
	measured, expected float64 // Pa gauge
	fitted             float64
	sigma, drift       float64
	count              int
}

// profiles works out one profile for each port along whose way a pressure was
// read, in the configuration with the most such points. A port whose flow
// can't be solved is left out.
func profiles(d *diagnose.Result) (out []profile, leftOut int) {
	m, err := airflow.New(d.System, airflow.Options{})
	if err != nil {
		return nil, 0
	}
	b := &profiler{d: d, m: m, byOpen: map[string][]int{}, state: map[string]*airflow.State{}, coefs: m.Coefs(), ways: newWays(d.System)}
	b.sortChecks()
	for p := range d.System.Ports {
		if x, ok := b.profile(p); ok {
			out = append(out, x)
		}
	}
	if len(out) <= mostProfiles {
		return out, 0
	}
	slices.SortStableFunc(out, func(a, b profile) int {
		switch {
		case a.worst > b.worst:
			return -1
		case a.worst < b.worst:
			return 1
		}
		return 0
	})
	leftOut = len(out) - mostProfiles
	out = out[:mostProfiles]
	slices.SortFunc(out, func(a, b profile) int { return a.port - b.port })
	return out, leftOut
}

type profiler struct {
	d      *diagnose.Result
	m      *airflow.Model
	coefs  airflow.Coefs
	opens  []string // configurations in which a pressure was read, in order
	byOpen map[string][]int
	state  map[string]*airflow.State // solved configurations; nil: no solution
	ways   *ways
}

// sortChecks gathers the checks that a profile can show by configuration.
func (b *profiler) sortChecks() {
	for i, c := range b.d.Checks {
		q := c.Reading.Quantity
		if q != units.StaticPressure && q != units.Suction || len(c.Reading.HoseOff) > 0 || c.Wrong {
			continue
		}
		if c.Reading.Point == readings.Bin {
			continue // not on the air's way
		}
		k := c.Reading.Open.String()
		if _, ok := b.byOpen[k]; !ok {
			b.opens = append(b.opens, k)
		}
		b.byOpen[k] = append(b.byOpen[k], i)
	}
}

func (b *profiler) profile(port int) (profile, bool) {
	best, most := -1, 0
	for i, k := range b.opens {
		open := b.d.Checks[b.byOpen[k][0]].Reading.Open
		if !b.ways.open(port, open) {
			continue
		}
		if n := b.ways.points(port, b.d.Checks, b.byOpen[k]); n > most {
			best, most = i, n
		}
	}
	if best < 0 {
		return profile{}, false
	}
	k := b.opens[best]
	s := b.solved(k)
	if s == nil {
		return profile{}, false
	}
	p := profile{port: port, open: b.d.Checks[b.byOpen[k][0]].Reading.Open, way: s.Profile(port)}
	for _, i := range b.byOpen[k] {
		p.add(b.ways, b.d.System, b.d.Checks[i])
	}
	slices.SortStableFunc(p.marks, func(x, y profileMark) int {
		switch {
		case x.along < y.along:
			return -1
		case x.along > y.along:
			return 1
		}
		return 0
	})
	return p, len(p.marks) > 0
}

func (b *profiler) solved(k string) *airflow.State {
	if s, ok := b.state[k]; ok {
		return s
	}
	b.state[k] = nil
	o := b.d.Checks[b.byOpen[k][0]].Reading.Open
	cfg, err := b.m.Configure(o.All, o.Gates, nil)
	if err != nil {
		return nil
	}
	s := b.m.NewState()
	if s.Solve(&b.coefs, cfg) != nil {
		return nil
	}
	b.state[k] = s
	return s
}

// add puts a check on the profile if its point lies on the way. Repeats are
// averaged.
func (p *profile) add(w *ways, s *duct.System, c diagnose.Check) {
	along, ok := w.along(p.port, c.Reading.Point)
	if !ok {
		return
	}
	sign := 1.0
	if c.Reading.Quantity == units.Suction {
		sign = -1
	}
	m := profileMark{c.Reading.Point, along, sign * c.Measured, sign * c.Expected, sign * c.Fitted, c.Sigma, figure.Drift(c), 1}
	p.worst = max(p.worst, math.Abs(m.drift))
	for i := range p.marks {
		if x := &p.marks[i]; x.point == m.point {
			n := float64(x.count)
			x.measured = (x.measured*n + m.measured) / (n + 1)
			x.count++
			if math.Abs(m.drift) > math.Abs(x.drift) {
				x.drift = m.drift
			}
			return
		}
	}
	p.marks = append(p.marks, m)
}

// profileView is a profile as the template shows it.
type profileView struct {
	Port, Open, Title, Desc string
	Line                    string
	Fan                     string // where the collector begins
	Ticks                   []profileTick
	Points                  []profilePoint
	open                    string
	Calm                    bool    // left out in print
	worst                   float64 // how far off the furthest point is
	Unit                    string
	Far                     string // length of the way
}

type profileTick struct{ Y, TextY, Text string }

type profilePoint struct {
	N                 string
	X, SlotX          string
	Top, Height       string // of the expected interval
	Y, Fit            string
	Left              string
	Class, Shape      string
	Point, Read, Want string
	Said              string
	Label             bool
}

// Size of a profile's drawing. Its points are numbered below the axis, each
// number in a slot of its own.
const (
	plotWide   = 340.0
	plotHigh   = 176.0
	plotLeft   = 46.0
	plotRight  = 328.0
	plotTop    = 12.0
	plotBottom = 140.0
	plotFan    = 26.0 // width of the collector at the right
	slot       = 15.0 // least width of a number's slot
	mostSlots  = 18   // that fit below the axis
)

func newProfileView(d *diagnose.Result, u units.System, p profile) profileView {
	s := d.System
	v := profileView{Port: s.Ports[p.port].ID, Open: show.Gates(p.open.String()), open: p.open.String(), worst: p.worst, Unit: show.Symbol(units.Pressure.Symbol(u))}
	length := p.way[len(p.way)-1].Along
	x := func(along float64) float64 {
		return plotLeft + along/max(length, 1e-9)*(plotRight-plotFan-plotLeft)
	}
	low, high := p.bounds()
	lo, hi := units.Pressure.FromSI(u, low), units.Pressure.FromSI(u, high)
	step := show.NiceStep(hi-lo, 4)
	lo, hi = math.Floor(lo/step)*step, min(math.Ceil(hi/step)*step, math.Max(hi, 0))
	y := func(pa float64) float64 {
		share := (hi - units.Pressure.FromSI(u, pa)) / max(hi-lo, 1e-12)
		return plotTop + min(max(share, -0.04), 1.04)*(plotBottom-plotTop)
	}
	for k := math.Ceil(lo/step - 1e-9); k*step <= hi+1e-9*step; k++ {
		at := plotTop + (hi-k*step)/max(hi-lo, 1e-12)*(plotBottom-plotTop)
		v.Ticks = append(v.Ticks, profileTick{show.Coordinate(at), show.Coordinate(at + 3.5), show.Numeral(k * step)})
	}
	v.Line, v.Fan = profileLine(p, x, y), show.Coordinate(x(length))
	v.Far = units.Format(length, units.Length, u)
	v.points(p, u, x, y)
	v.Title = fmt.Sprintf("Static pressure from port %s to the fan, %s", v.Port, v.Open)
	v.Desc = v.words()
	return v
}

// bounds are the lowest and the highest pressure to be drawn, Pa, with a little
// room around them.
func (p *profile) bounds() (low, high float64) {
	low, high = math.Inf(1), math.Inf(-1)
	take := func(v ...float64) {
		for _, x := range v {
			low, high = min(low, show.Finite(x)), max(high, show.Finite(x))
		}
	}
	for _, st := range p.way {
		take(st.Static)
	}
	for _, m := range p.marks {
		take(m.measured, m.fitted, m.expected-show.OffAt*m.sigma, m.expected+show.OffAt*m.sigma)
	}
	room := max(0.05*(high-low), 5)
	return low - room, high + room
}

// spreadOut gives each point's number a slot of its own as near to its place
// as can be; points beyond what the axis has room for get none.
func spreadOut(at []float64) []float64 {
	n := min(len(at), mostSlots)
	out := slices.Clone(at[:n])
	for i := 1; i < n; i++ {
		out[i] = max(out[i], out[i-1]+slot)
	}
	for i, most := n-1, plotRight+4; i >= 0; i, most = i-1, most-slot {
		out[i] = min(out[i], most)
	}
	return out
}

func profileLine(p profile, x, y func(float64) float64) string {
	var b strings.Builder
	n := len(p.way)
	last := ""
	for i, st := range p.way {
		at := x(st.Along)
		if i == n-1 {
			at = plotRight
		}
		t := show.Coordinate(at) + " " + show.Coordinate(y(st.Static))
		if t == last {
			continue
		}
		last = t
		if i == 0 {
			b.WriteString("M" + t)
		} else {
			b.WriteString("L" + t)
		}
	}
	return b.String()
}

func (v *profileView) points(p profile, u units.System, x, y func(float64) float64) {
	at := make([]float64, len(p.marks))
	for i, m := range p.marks {
		at[i] = x(m.along)
		if m.point == readings.FanInlet {
			at[i] = plotRight
		}
	}
	slots := spreadOut(at)
	for i, m := range p.marks {
		at := at[i]
		dev := figure.DeviationOf(m.drift)
		half := show.OffAt * m.sigma
		q := profilePoint{N: strconv.Itoa(i + 1), Point: m.point, X: show.Coordinate(at), Class: dev.Class(), Left: show.Coordinate(at - 3),
			Y: show.Coordinate(y(m.measured)), Fit: show.Coordinate(y(m.fitted)), Said: dev.Said(units.StaticPressure), Label: i < len(slots)}
		a, b := y(m.expected+half), y(m.expected-half)
		q.Top, q.Height = show.Coordinate(a), show.Coordinate(max(b-a, 2))
		q.SlotX = q.X
		if q.Label {
			q.SlotX = show.Coordinate(slots[i])
		}
		about := show.Spread(half, units.Pressure, u)
		n := show.Places(2 * about)
		q.Read = show.Minus(show.Fixed(show.Value(m.measured, units.Pressure, u), n))
		q.Want = fmt.Sprintf("%s ± %s", show.Minus(show.Fixed(show.Value(m.expected, units.Pressure, u), n)), show.Fixed(about, n))
		q.Shape = dotShape(at, y(m.measured), dev)
		v.Points = append(v.Points, q)
	}
}

// dotShape is round inside the expected range and pointed outside: upwards for
// less suction, as it lies on the page.
func dotShape(x, y float64, d figure.Deviation) string {
	at := "M" + show.Coordinate(x)
	switch d {
	case figure.Less, figure.FarLess:
		return at + " " + show.Coordinate(y-5) + "l5 8h-10z"
	case figure.More, figure.FarMore:
		return at + " " + show.Coordinate(y+5) + "l5 -8h-10z"
	}
	return at + " " + show.Coordinate(y-3.8) + "a3.8 3.8 0 1 0 .01 0z"
}

func (v *profileView) words() string {
	parts := make([]string, len(v.Points))
	for i, p := range v.Points {
		parts[i] = fmt.Sprintf("%s read %s, expected %s, %s", p.Point, p.Read, p.Want, p.Said)
	}
	return fmt.Sprintf("In %s over %s of duct: %s.", v.Unit, v.Far, strings.Join(parts, "; "))
}
