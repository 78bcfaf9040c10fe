package sheet

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/drawing"
	"lostair/report/figure"
	"lostair/report/pages"
	"lostair/report/show"
)

// HTML writes a round of readings as one self-contained page to print and
// fill in, in the units of u.
func HTML(w io.Writer, sh *Sheet, u units.System) error {
	t, err := pages.ParsePage("sheet.html", "drawing.html")
	if err != nil {
		return err
	}
	p, err := newSheetPage(sh, u)
	if err != nil {
		return err
	}
	return show.Execute(w, t, p)
}

// sheetPage is what the template of the field sheet needs.
type sheetPage struct {
	Name, File    string
	Setups        []sheetSetup
	Stops         int
	Minutes       string
	Tell          bool
	Ticks         []sheetLook
	Figures       []figure.TreeFigure
	Traverses     []traverse
	Instruments   []string
	US            bool // in inches and feet
	Water         bool // pressures are also shown as a column of water
	Blind         string
	BlindVelocity string
	Traversed     bool
	Looks         []Look // of a thorough test
	Source        string // of its points
}

// Fast says what to do where air is too fast for a vane; "" if it is nowhere.
func (p *sheetPage) Fast() string {
	for _, g := range p.Setups {
		for _, s := range g.Stops {
			if s.Fast {
				return show.FastWords
			}
		}
	}
	return ""
}

// sheetSetup is a gate setting with the stops that need it.
type sheetSetup struct {
	N      int
	Open   string
	Change string
	Hose   string
	Moves  int
	Stops  []sheetStop
}

// Long says that a setting has too many stops to be kept on one page.
func (g sheetSetup) Long() bool { return len(g.Stops) > 4 }

type sheetStop struct {
	N                               int
	Point, Place, What, With        string
	Fast                            bool // too fast for most vanes
	Expected, Low, High, Unit       string
	WaterLow, WaterHigh, WaterPoint string
	Position                        int
}

// sheetLook is a place with what is to be looked at there.
type sheetLook struct {
	Point string
	Looks []tick
}

// tick is a look with the number of its stop.
type tick struct {
	N      int
	What   string
	Number bool // a number is written, in place of yes or no
}

// sheetLooks gathers the looks of each place.
func sheetLooks(sh *Sheet) []sheetLook {
	var out []sheetLook
	for i, x := range sh.Looks {
		if len(out) == 0 || out[len(out)-1].Point != x.Point {
			out = append(out, sheetLook{Point: x.Point})
		}
		l := &out[len(out)-1]
		what := strings.ReplaceAll(x.What(), "_", " ")
		if x.Look == readings.RisesWithDoorOpen {
			what = "suction " + strings.Replace(what, "with door", "with an outside door", 1)
		}
		l.Looks = append(l.Looks, tick{len(sh.Stops) + i + 1, what, x.Look.Number()})
	}
	return out
}

func newSheetPage(sh *Sheet, u units.System) (*sheetPage, error) {
	s := sh.System
	p := &sheetPage{Name: s.Name, File: report.FileName(s.File), Stops: len(sh.Stops), Water: u == units.Metric, US: u == units.US, Minutes: fmt.Sprintf("%.0f", math.Ceil(sh.Minutes())), Tell: sh.Tell}
	if p.Name == "" {
		p.Name = p.File
	}
	for _, in := range s.Instruments {
		p.Instruments = append(p.Instruments, instrumentWords(in, u))
	}
	if sh.Thorough {
		p.Looks, p.Source = looks(s), thoroughSource
	}
	p.Ticks = sheetLooks(sh)
	last := ""
	before := readings.Open{}
	var hoses []string
	for i := range sh.Stops {
		x := &sh.Stops[i]
		if key := setupKey(x); key != last || len(p.Setups) == 0 {
			last = key
			p.Setups = append(p.Setups, newSetup(s, len(p.Setups)+1, before, x, hoses))
			before, hoses = x.Open, x.HoseOff
		}
		g := &p.Setups[len(p.Setups)-1]
		g.Stops = append(g.Stops, newSheetStop(s, i+1, x, u, sh.Tell))
		p.Traversed = p.Traversed || x.Position > 0
	}
	var err error
	p.Traverses, err = traverses(sh, u)
	p.Blind, p.BlindVelocity = blindSpot(u)
	p.Figures = sheetFigures(sh, u)
	return p, err
}

// A U-tube's meniscus is read to a millimetre or two of water. Common
// practice, no source.
const (
	tubeBlind   = 2 * 9.80665 // Pa: what a U-tube can't show
	airStandard = 1.204       // kg/m³
)

// blindSpot is what a U-tube can't show, as a pressure and as the velocity whose
// velocity pressure that is.
func blindSpot(u units.System) (pressure, velocity string) {
	digits := 2
	if u == units.US {
		digits = 1
	}
	return roughly(tubeBlind, units.Pressure, u, digits), roughly(math.Sqrt(2*tubeBlind/airStandard), units.Velocity, u, 2)
}

// roughly is a value to so many digits.
func roughly(si float64, d units.Dimension, u units.System, digits int) string {
	v, err := strconv.ParseFloat(strconv.FormatFloat(d.FromSI(u, si), 'g', digits, 64), 64)
	if err != nil {
		return ""
	}
	return show.Numeral(v) + " " + show.Symbol(d.Symbol(u))
}

func instrumentWords(in duct.Instrument, u units.System) string {
	return show.Pretty(fmt.Sprintf("%s, for %s: within %s of the reading, at least %s", in.ID, in.Measures,
		units.Format(in.OfReading, units.Share, u), units.Format(in.Floor, in.Measures, u)))
}

func newSetup(s *duct.System, n int, before readings.Open, x *Stop, hoses []string) sheetSetup {
	open, shut := moves(s, before, x.Open)
	g := sheetSetup{N: n, Open: show.Title(show.Gates(x.Open.String())), Moves: len(open) + len(shut)}
	all := s.Gates()
	switch {
	case len(all) > 0 && x.Open.All && len(open) > 1:
		g.Change = "Open all gates."
	case len(x.Open.Gates) == 0 && !x.Open.All && len(shut) > 1:
		g.Change = "Shut all gates."
	default:
		g.Change = changeWords(open, shut)
	}
	switch {
	case n == 1 && g.Moves == 0:
		g.Change = "Start with all gates shut."
	case n == 1:
		g.Change = strings.TrimSpace("Start with all gates shut. " + g.Change)
	}
	off, on := without(x.HoseOff, hoses), without(hoses, x.HoseOff)
	if len(off) > 0 {
		g.Hose = "Unhook the machine at " + show.Listed(off) + ": " + show.UnhookCare + "."
	}
	if len(on) > 0 {
		g.Hose = strings.TrimSpace(g.Hose + " Hook the machine up again at " + show.Listed(on) + ".")
	}
	return g
}

func changeWords(open, shut []string) string {
	var out []string
	if len(open) > 0 {
		out = append(out, "Open "+show.Listed(open))
	}
	if len(shut) > 0 {
		out = append(out, "shut "+show.Listed(shut))
	}
	if len(out) == 0 {
		return "Leave the gates as they are."
	}
	return show.Title(strings.Join(out, ", then ")) + "."
}

// moves lists the gates to open and those to shut.
func moves(s *duct.System, before, after readings.Open) (open, shut []string) {
	for _, g := range s.Gates() {
		was, is := before.Opens(g), after.Opens(g)
		switch {
		case is && !was:
			open = append(open, g)
		case was && !is:
			shut = append(shut, g)
		}
	}
	return open, shut
}

func without(list, gone []string) []string {
	var out []string
	for _, x := range list {
		if !slices.Contains(gone, x) {
			out = append(out, x)
		}
	}
	return out
}

func newSheetStop(s *duct.System, n int, x *Stop, u units.System, tell bool) sheetStop {
	d := x.Quantity.Dimension()
	out := sheetStop{N: n, Point: x.Point, Place: placeWords(s, x.Point, x.HoseOff, u), What: show.Quantity(x.Quantity.String()), With: x.Instrument,
		Unit: show.Symbol(x.Quantity.Symbol(u)), Position: x.Position}
	if x.Quantity.OfAir() {
		return out // there is nothing to expect of the weather
	}
	out.Fast = diagnose.TooFast(x.Quantity, x.Expected.Value)
	if !tell {
		return out
	}
	e := x.Expected
	low, high := e.Low, e.High
	if math.Abs(low) > math.Abs(high) { // suctions: the smaller one first
		low, high = high, low
	}
	if iv := show.IntervalOf(e, d, u); iv != nil {
		out.Expected = show.Minus(iv.Mid())
		out.Low, out.High = show.Minus(iv.Shown(show.Value(low, d, u))), show.Minus(iv.Shown(show.Value(high, d, u)))
	}
	if d == units.Pressure && u == units.Metric {
		out.WaterPoint, out.WaterLow, out.WaterHigh = water(x.Expected.Value), water(low), water(high)
	}
	return out
}

// water is a pressure as whole millimetres of water, what a U-tube shows.
func water(pa float64) string { return fmt.Sprintf("%.0f", math.Abs(pa)/9.80665) }

// placeWords says where a point is.
func placeWords(s *duct.System, point string, hoseOff []string, u units.System) string {
	if d, t, ok := s.TapAt(point); ok {
		x := &s.Ducts[d]
		return fmt.Sprintf("tap on %s, %s, %s from its far end", x.ID, show.Unbroken(figure.Section(x, u)), show.Unbroken(units.Format(x.Taps[t].Distance, units.Length, u)))
	}
	if p, ok := s.PortNamed(point); ok {
		off := slices.Contains(hoseOff, point)
		mouth := strings.TrimPrefix(figure.Mouth(s, p, off, u), "the ")
		if mouth == "" {
			x := &s.Ducts[s.Ports[p].Duct]
			return fmt.Sprintf("mouth of the port on %s, %s", x.ID, show.Unbroken(figure.Section(x, u)))
		}
		if tip := figure.Unhooked(s, p, u); tip != "" && !off {
			mouth += "; " + tip
		}
		return mouth
	}
	switch point {
	case readings.CollectorInlet:
		return "pipe just before the collector, " + bore(s.Collector.Inlet, u)
	case readings.FanInlet:
		return "pipe just before the fan"
	case readings.Filter:
		return "from one side of the filter to the other"
	case readings.Bin:
		return "dust bin, lid shut"
	case readings.CycloneInlet:
		return "pipe just before the cyclone"
	case readings.CycloneOutlet:
		return "pipe just behind the cyclone"
	case readings.FanOutlet:
		return "pipe just behind the fan"
	case readings.AfterFilter:
		return "pipe just behind the filter"
	case readings.FanPoint:
		return "at the fan and its motor, by a meter that is fitted or plugged in"
	case readings.Room:
		return "the air of the room, out of the sun and the draught"
	}
	return ""
}

// bore is a diameter as it is written on a sheet.
func bore(d float64, u units.System) string {
	return show.Unbroken("⌀ " + units.Format(d, units.Diameter, u))
}

// traverse is where to measure across one diameter of duct.
type traverse struct {
	Diameter string
	Ducts    string
	At       []string
}

// traverses gives the positions for each diameter of the ducts on the sheet
// that have taps: six on a diameter, ten in wide ducts.
func traverses(sh *Sheet, u units.System) ([]traverse, error) {
	s := sh.System
	byDiameter := map[float64][]string{}
	seen := map[int]bool{}
	for _, x := range sh.Stops {
		if d, _, ok := s.TapAt(x.Point); ok && !seen[d] && !s.Ducts[d].Rectangular() {
			seen[d] = true
			byDiameter[s.Ducts[d].Diameter] = append(byDiameter[s.Ducts[d].Diameter], s.Ducts[d].ID)
		}
	}
	var sizes []float64
	for d := range byDiameter {
		sizes = append(sizes, d)
	}
	slices.Sort(sizes)
	var out []traverse
	for _, d := range sizes {
		t := traverse{Diameter: units.Format(d, units.Diameter, u), Ducts: someOf(byDiameter[d], 4)}
		n := 6
		if d > wideDuct {
			n = 10
		}
		at, err := readings.TraversePositions(readings.LogLinear, n, d)
		if err != nil {
			return nil, err
		}
		for _, x := range at {
			t.At = append(t.At, rule(x, u))
		}
		out = append(out, t)
	}
	return out, nil
}

// wideDuct is the diameter above which ten positions are worth the time.
// Common practice, no source.
const wideDuct = 0.2

// rule is a length as it can be marked on a tube: whole millimetres or
// hundredths of an inch.
func rule(m float64, u units.System) string {
	if u == units.US {
		return fmt.Sprintf("%.2f", units.Diameter.FromSI(u, m))
	}
	return fmt.Sprintf("%.0f", units.Diameter.FromSI(u, m))
}

func someOf(ids []string, most int) string {
	if len(ids) <= most {
		return strings.Join(ids, ", ")
	}
	return fmt.Sprintf("%s and %d more", strings.Join(ids[:most], ", "), len(ids)-most)
}

// sheetFigures draw the ducts with the numbers of the stops.
func sheetFigures(sh *Sheet, u units.System) []figure.TreeFigure {
	s := sh.System
	numbers := map[string][]int{}
	for i, x := range sh.Stops {
		numbers[x.Point] = append(numbers[x.Point], i+1)
	}
	note := func(point string, out []drawing.Note) []drawing.Note {
		if n := numbers[point]; len(n) > 0 {
			out = append(out, drawing.Note{Text: fmt.Sprintf("%s: stop %s", point, numberList(n)), Class: "stop"})
		}
		return out
	}
	var out []figure.TreeFigure
	for _, wide := range [...]bool{true, false} {
		sheet := drawing.Sheet{Sys: s, Wide: wide, Size: func(d int) string { return figure.DuctSize(&s.Ducts[d], u) },
			Notes: func(d int) (out []drawing.Note) {
				for i := len(s.Ducts[d].Taps) - 1; i >= 0; i-- {
					out = note(s.Ducts[d].Taps[i].ID, out)
				}
				if p := s.Ducts[d].Port; p >= 0 {
					out = note(s.Ports[p].ID, out)
				}
				return out
			}}
		for _, id := range reservedWay {
			sheet.Collector = note(id, sheet.Collector)
		}
		out = append(out, figure.NewTreeFigures(drawing.Layout(sheet), figure.Tint{Class: func(int) string { return figure.Deviations[figure.Unread].Class }},
			"The duct system with the stops of this round", fmt.Sprintf("A tree of %d ducts with %d ports; at each point stand the numbers of its stops. "+
				"The tables of stops say in words where each point is.", len(s.Ducts), len(s.Ports)), wide)...)
	}
	return out
}

// numberList lists numbers, a run of them as its ends, no more than a few.
func numberList(n []int) string {
	var parts []string
	for i := 0; i < len(n); {
		j := i
		for j+1 < len(n) && n[j+1] == n[j]+1 {
			j++
		}
		if len(parts) == 6 {
			return strings.Join(parts, ", ") + " …"
		}
		if j > i {
			parts = append(parts, fmt.Sprintf("%d–%d", n[i], n[j]))
		} else {
			parts = append(parts, fmt.Sprint(n[i]))
		}
		i = j + 1
	}
	return strings.Join(parts, ", ")
}
