package html

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/figure"
	"lostair/report/show"
)

// Profiles that a page shows: all up to mostProfiles, beyond that those with
// the largest deviations, so that a page of a large plant stays quick to open.
const mostProfiles = 60

// profile is one port's way to the fan, and the readings along it.
type profile struct {
	port  int
	open  readings.Open
	far   float64 // length of the way, m
	marks []profileMark
	worst float64 // largest |drift|
}

// profileMark is what was read at one point of the way.
type profileMark struct {
	point              string
	along              float64
	measured, expected float64 // suction, Pa
	fitted             float64
	sigma, drift       float64
	count              int
}

// profiles works out one profile for each port along whose way a pressure was
// read, in the configuration with the most such points. A port whose flow
// can't be solved is left out.
func profiles(d *diagnose.Result) (out []profile, leftOut int) {
	if len(d.System.Ducts) == 0 {
		return nil, 0
	}
	b := &profiler{d: d, byOpen: map[string][]int{}, ways: newWays(d.System)}
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
	opens  []string // configurations in which a pressure was read, in order
	byOpen map[string][]int
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
	p := profile{port: port, open: b.d.Checks[b.byOpen[k][0]].Reading.Open}
	for d := b.d.System.Ports[port].Duct; d >= 0; d = b.d.System.Ducts[d].Into {
		p.far += b.d.System.Ducts[d].Length
	}
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

// add puts a check on the profile if its point lies on the way. Repeats are
// averaged.
func (p *profile) add(w *ways, s *duct.System, c diagnose.Check) {
	along, ok := w.along(p.port, c.Reading.Point)
	if !ok {
		return
	}
	sign := -1.0 // of static pressure
	if c.Reading.Quantity == units.Suction {
		sign = 1
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
	Line, With              string // through what is expected: sound, and with the faults found
	Dashed                  string // what the line With is called; "": there is none
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
	Top, Bottom       string // of the interval of what was read
	Fit               string
	Class, Shape      string
	Point, Read, Want string
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

func newProfileView(d *diagnose.Result, u units.System, p profile, most float64, dashed string) profileView {
	s := d.System
	v := profileView{Port: s.Ports[p.port].ID, Open: show.Gates(p.open.String()), open: p.open.String(), worst: p.worst, Unit: show.Symbol(units.Pressure.Symbol(u))}
	x := func(along float64) float64 {
		return plotLeft + along/max(p.far, 1e-9)*(plotRight-plotFan-plotLeft)
	}
	hi := math.Max(units.Pressure.FromSI(u, most), 1e-9)
	step := show.NiceStep(hi, 4)
	hi = math.Ceil(hi/step-1e-9) * step
	y := func(pa float64) float64 {
		share := units.Pressure.FromSI(u, pa) / hi
		return plotBottom - min(max(share, -0.04), 1.04)*(plotBottom-plotTop)
	}
	for k := 0.0; k*step <= hi*(1+1e-9); k++ {
		at := plotBottom - k*step/hi*(plotBottom-plotTop)
		v.Ticks = append(v.Ticks, profileTick{show.Coordinate(at), show.Coordinate(at + 3.5), show.Numeral(k * step)})
	}
	v.Fan = show.Coordinate(x(p.far))
	v.Far = units.Format(p.far, units.Length, u)
	v.Line = profileLine(p, x, y, func(m profileMark) float64 { return m.expected })
	if dashed != "" {
		v.Dashed = dashed
		v.With = profileLine(p, x, y, func(m profileMark) float64 { return m.fitted })
	}
	v.points(p, u, x, y)
	v.Title = fmt.Sprintf("Suction from port %s to the fan, %s", v.Port, v.Open)
	v.Desc = v.words()
	return v
}

// dashed names the line of what the best explanation expects, by the numbers of the
// suspects that it holds, and says which place it takes of each; "": it holds no fault.
func dashed(r *report.Result, d *diagnose.Result, list []suspect) (name, says string) {
	var numbers, parts []string
	for _, c := range d.Fitted {
		at := slices.IndexFunc(list, func(s suspect) bool {
			return slices.ContainsFunc(s.Members(), func(m report.Candidate) bool { return m.Kind == c.Kind.String() && m.Where == c.Where })
		})
		what := nameOf(r, c)
		if at < 0 {
			parts = append(parts, what)
			continue
		}
		numbers = append(numbers, list[at].Number)
		parts = append(parts, list[at].Number+" taken as "+what)
	}
	slices.Sort(numbers)
	switch {
	case len(parts) == 0:
		return "", ""
	case len(numbers) == 0:
		name = "best fit"
	case len(numbers) == 1:
		name = "with fault " + numbers[0]
	default:
		name = "with faults " + show.Listed(numbers)
	}
	if len(numbers) > 0 && len(parts) > len(numbers) {
		name += " and more"
	}
	return name, show.Listed(parts)
}

// nameOf is a fault in words, as the report has it.
func nameOf(r *report.Result, c fault.Candidate) string {
	for _, x := range r.Candidates {
		if x.Kind == c.Kind.String() && x.Where == c.Where {
			return x.Name
		}
	}
	if c.Kind == fault.Altered { // not a kind of fault that is listed
		return "other losses than written at " + c.Where
	}
	return show.Named(c.Kind, c.Where)
}

// mostSuction is the top of the scale that all profiles share, Pa.
func mostSuction(list []profile) float64 {
	most := 0.0
	for _, p := range list {
		for _, m := range p.marks {
			most = max(most, show.Finite(m.fitted), show.Finite(m.expected), show.Finite(m.measured+show.OffAt*m.sigma))
		}
	}
	return most
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

// placeOf is where a mark stands along the way.
func placeOf(m profileMark, x func(float64) float64) float64 {
	if m.point == readings.FanInlet {
		return plotRight
	}
	return x(m.along)
}

// profileLine goes through one value of each mark; of a single one it is a dash.
func profileLine(p profile, x, y func(float64) float64, value func(profileMark) float64) string {
	var b strings.Builder
	for i, m := range p.marks {
		move := "L"
		if i == 0 {
			move = "M"
		}
		b.WriteString(move + show.Coordinate(placeOf(m, x)) + " " + show.Coordinate(y(value(m))))
	}
	if len(p.marks) == 1 {
		b.WriteString("m-9 0h18")
	}
	return b.String()
}

func (v *profileView) points(p profile, u units.System, x, y func(float64) float64) {
	at := make([]float64, len(p.marks))
	for i, m := range p.marks {
		at[i] = placeOf(m, x)
	}
	slots := spreadOut(at)
	for i, m := range p.marks {
		at := at[i]
		half := show.OffAt * m.sigma
		q := profilePoint{N: strconv.Itoa(i + 1), Point: m.point, X: show.Coordinate(at), Class: "same", Label: i < len(slots),
			Top: show.Coordinate(y(m.measured + half)), Bottom: show.Coordinate(y(m.measured - half))}
		q.SlotX = q.X
		if q.Label {
			q.SlotX = show.Coordinate(slots[i])
		}
		about := show.Spread(half, units.Pressure, u)
		n := show.Places(2 * about)
		value := func(pa float64) string { return show.Minus(show.Fixed(show.Value(pa, units.Pressure, u), n)) }
		q.Read = fmt.Sprintf("%s ± %s", value(m.measured), show.Fixed(about, n))
		q.Want = value(m.expected)
		if v.Dashed != "" {
			q.Fit = value(m.fitted)
		}
		q.Shape = "M" + q.X + " " + show.Coordinate(y(m.measured)-3.8) + "a3.8 3.8 0 1 0 .01 0z"
		v.Points = append(v.Points, q)
	}
}

func (v *profileView) words() string {
	parts := make([]string, len(v.Points))
	for i, p := range v.Points {
		parts[i] = fmt.Sprintf("%s read %s, sound %s", p.Point, p.Read, p.Want)
		if p.Fit != "" {
			parts[i] += ", " + v.Dashed + " " + p.Fit
		}
	}
	return fmt.Sprintf("In %s over %s of duct: %s.", v.Unit, v.Far, strings.Join(parts, "; "))
}
