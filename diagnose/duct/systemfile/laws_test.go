package systemfile

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/trade"
	"lostair/readings/units"
)

// awkward are ids that YAML, HTML or a spreadsheet would take for something else.
var awkward = []string{"ä ö", `"q"`, "it's", "<b>", "=cmd", "- x", "a: b", "a #b", "{x}", "[y]", "007", "1e3", "null", "True", "~", "*a", "&b", "!c", "%d", "@e", "`f`", "|", "x y z", "日本"}

// system draws a valid System, with numbers as people type them.
func system(t *rapid.T) *duct.System {
	u := rapid.SampledFrom([]units.System{units.Metric, units.US}).Draw(t, "units")
	typed := func(label string, lo, hi int, d units.Dimension) float64 { // hundredths
		v := rapid.IntRange(lo, hi).Draw(t, label)
		x, err := units.Parse(fmt.Sprintf("%d.%02d", v/100, v%100), d, u)
		require.NoError(t, err)
		return x.SI
	}
	s := &duct.System{Name: rapid.SampledFrom(append(awkward, "")).Draw(t, "name"), Units: u}
	s.Air = duct.Air{Standard: true}
	if rapid.Bool().Draw(t, "air") {
		s.Air = duct.Air{
			Temperature: typed("temperature", 4000, 9000, units.Temperature),
			Altitude:    typed("altitude", 0, 90_000, units.Length),
			Humidity:    typed("humidity", 0, 10_000, units.Share),
		}
	}
	s.Collector = duct.Collector{Inlet: typed("inlet", 500, 15_000, units.Diameter), Bin: true}
	if rapid.Bool().Draw(t, "cyclone") {
		s.Collector.Cyclone = &duct.Drop{Pressure: typed("drop", 1, 500, units.Pressure), At: typed("at", 1, 100_000, units.Flow)}
		s.Collector.Order = []duct.Part{duct.Cyclone, duct.Fan}
		if rapid.Bool().Draw(t, "pushed") {
			s.Collector.Order = []duct.Part{duct.Fan, duct.Cyclone}
		}
	}
	for i := range rapid.IntRange(2, 6).Draw(t, "points") {
		s.Collector.Curve = append(s.Collector.Curve, duct.CurvePoint{
			Flow:     typed("flow", i*1000, i*1000+999, units.Flow),
			Pressure: typed("pressure", (6-i)*100+1, (7-i)*100, units.Pressure),
		})
	}
	n := rapid.IntRange(1, 40).Draw(t, "ducts")
	for i := range n {
		d := duct.Duct{
			ID:       fmt.Sprint(rapid.SampledFrom(awkward).Draw(t, "id"), i),
			Into:     rapid.IntRange(-1, i-1).Draw(t, "into"),
			Straight: rapid.Bool().Draw(t, "straight"),
			Diameter: typed("diameter", 300, 15_000, units.Diameter),
			Length:   typed("length", 0, 2_000, units.Length),
			Abrupt:   rapid.Bool().Draw(t, "abrupt"),
		}
		if !d.Straight {
			d.Angle, _ = angle(fmt.Sprint(rapid.IntRange(1, 90).Draw(t, "angle")))
		}
		if rapid.Bool().Draw(t, "named") {
			d.Material = rapid.SampledFrom(trade.MaterialNames()).Draw(t, "material")
			if d.Material == "flexible" && rapid.Bool().Draw(t, "squeezed") {
				d.Compressed = typed("compressed", 0, 60, units.Share)
			}
		} else {
			d.Roughness = typed("roughness", 1, 10, units.Roughness)
		}
		for range rapid.IntRange(0, 2).Draw(t, "fittings") {
			f := duct.Fitting{Count: rapid.IntRange(1, 3).Draw(t, "count")}
			if f.Elbow = rapid.Bool().Draw(t, "elbow"); f.Elbow {
				f.Angle, f.Radius = rapid.Float64Range(units.Degree, 180*units.Degree).Draw(t, "bend"), typed("radius", 50, 300, units.Number)
			} else {
				f.Loss, f.What = typed("loss", 0, 300, units.Number), rapid.SampledFrom(awkward).Draw(t, "what")
			}
			d.Fittings = append(d.Fittings, f)
		}
		for j := range rapid.IntRange(0, 3).Draw(t, "taps") {
			d.Taps = append(d.Taps, duct.Tap{ID: fmt.Sprintf("%s %d.%d", rapid.SampledFrom(awkward).Draw(t, "tap"), i, j),
				Distance: d.Length * rapid.Float64Range(0, 1).Draw(t, "distance")})
		}
		if rapid.Bool().Draw(t, "gated") {
			d.Gate, d.GateDown = fmt.Sprint("gate ", i), rapid.Bool().Draw(t, "down")
		}
		s.Ducts = append(s.Ducts, d)
	}
	addPorts(t, s, typed)
	return s
}

func addPorts(t *rapid.T, s *duct.System, typed func(string, int, int, units.Dimension) float64) {
	open := make([]bool, len(s.Ducts))
	for i := range open {
		open[i] = true
	}
	for i := range s.Ducts {
		if into := s.Ducts[i].Into; into >= 0 {
			open[into] = false
		}
	}
	for i := range s.Ducts {
		if !open[i] {
			continue
		}
		p := duct.Port{ID: fmt.Sprint("port ", i), Duct: i, Loss: typed("hood", 0, 300, units.Number), Need: typed("need", 0, 500, units.Flow)}
		if rapid.Bool().Draw(t, "hooded") {
			p.Hood, p.Loss = rapid.SampledFrom(trade.HoodNames()).Draw(t, "hood"), 0
		}
		if h, ok := trade.HoodNamed(p.Hood); ok && len(h.Taper) > 0 && rapid.Bool().Draw(t, "angled") {
			p.Taper = rapid.Float64Range(units.Degree, 180*units.Degree).Draw(t, "taper")
		}
		switch rapid.IntRange(0, 2).Draw(t, "opening") {
		case 1:
			p.Opening = &duct.Opening{Diameter: typed("opening", 300, 15_000, units.Diameter)}
		case 2:
			p.Opening = &duct.Opening{Width: typed("width", 300, 15_000, units.Diameter), Height: typed("height", 300, 15_000, units.Diameter)}
			p.Machine = rapid.SampledFrom(awkward).Draw(t, "machine")
		}
		s.Ports = append(s.Ports, p)
	}
	if n := len(s.Ports); n > 1 {
		s.Ports[0].Need, s.Ports[n-1].Need = 0, 0
		s.Machines = []duct.Machine{{ID: rapid.SampledFrom(awkward).Draw(t, "machine"), Ports: []int{0, n - 1}, Need: typed("need", 1, 500, units.Flow)}}
	}
	if rapid.Bool().Draw(t, "room") {
		s.Room.Inlets = typed("inlets", 1, 90_000, units.Area)
	}
	s.Instruments = []duct.Instrument{
		{ID: "g", Measures: units.Pressure, OfReading: typed("of", 1, 900, units.Share), Floor: typed("floor", 0, 50, units.Pressure)},
		{ID: "v", Measures: units.Velocity, OfReading: typed("of", 1, 900, units.Share), Floor: typed("floor", 0, 50, units.Velocity), Size: typed("size", 300, 3900, units.Diameter)},
	}
	s.Limits = duct.Limits{ConveyBranch: typed("branch", 40_000, 50_000, units.Velocity)}
	if s.Units == units.Metric {
		s.Limits.ConveyBranch = typed("branch", 1000, 3000, units.Velocity)
	}
	if gates := s.Gates(); rapid.Bool().Draw(t, "settings") && len(gates) > 0 {
		s.Settings = []duct.Setting{{All: true}, {Gates: gates}, {}}[:rapid.IntRange(1, 3).Draw(t, "in use")]
	}
	s.Uncertainty = duct.Uncertainty{Losses: typed("losses", 1, 5000, units.Share)}
}

// What is written is read back as it was, and is written the same again.
func TestMarshalLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := system(t)
		require.NoError(t, s.Finish().Err())
		file := Marshal(s)
		back, problems := Load(file, "")
		require.NoError(t, problems.Err(), string(file))
		assert.Equal(t, s.Units, back.Units)
		assert.Equal(t, placeless(s), placeless(back), string(file))
		assert.Equal(t, string(file), string(Marshal(back)))
	})
}

// A duct comes after the one it flows into; the links agree with each other.
func TestOrderLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := system(t)
		shuffle(t, s)
		require.NoError(t, s.Finish().Err())
		require.Len(t, s.Order, len(s.Ducts))
		place := make([]int, len(s.Ducts))
		for at, i := range s.Order {
			place[i] = at + 1
		}
		for i := range s.Ducts {
			d := &s.Ducts[i]
			require.NotZero(t, place[i], "duct %d is in no place", i)
			if d.Into >= 0 {
				assert.Less(t, place[d.Into], place[i])
				assert.Contains(t, s.Ducts[d.Into].Children, i)
			}
			if d.Port >= 0 {
				assert.Equal(t, i, s.Ports[d.Port].Duct)
			}
			assert.Equal(t, len(d.Children) == 0, d.Port >= 0)
		}
	})
}

// shuffle puts the ducts into another order, the tree being the same.
func shuffle(t *rapid.T, s *duct.System) {
	index := make([]int, len(s.Ducts))
	for i := range index {
		index[i] = i
	}
	to := rapid.Permutation(index).Draw(t, "order")
	ducts := make([]duct.Duct, len(to))
	for i, d := range s.Ducts {
		if d.Into >= 0 {
			d.Into = to[d.Into]
		}
		ducts[to[i]] = d
	}
	s.Ducts = ducts
	for i := range s.Ports {
		s.Ports[i].Duct = to[s.Ports[i].Duct]
	}
}

// One duct sent into a duct upstream of it makes a loop, and that is said.
func TestLoopLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := system(t)
		i := rapid.IntRange(0, len(s.Ducts)-1).Draw(t, "duct")
		for j := i; j >= 0; j = s.Ducts[j].Into {
			if s.Ducts[j].Into == duct.IntoCollector {
				s.Ducts[j].Into = i
				break
			}
		}
		assert.ErrorContains(t, s.Finish().Err(), "flow in a loop")
	})
}
