package systemfile

import (
	"math"
	"os"
	"path/filepath"
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/keys"
	"lostair/readings/units"
)

// good loads a file that must have nothing wrong with it.
func good(t testing.TB, path string) *duct.System {
	s, problems := LoadFile(path)
	require.NoError(t, problems.Err())
	require.Empty(t, problems)
	return s
}

// placeless is s without what depends on the file: places, name, unit system.
func placeless(s *duct.System) *duct.System {
	c := *s
	c.File, c.Units, c.Collector.Pos = "", units.Metric, keys.Pos{}
	c.Ducts = append([]duct.Duct(nil), s.Ducts...)
	for i := range c.Ducts {
		d := &c.Ducts[i]
		d.Pos, d.Taps = keys.Pos{}, append([]duct.Tap(nil), d.Taps...)
		for j := range d.Taps {
			d.Taps[j].Pos = keys.Pos{}
		}
	}
	c.Ports = append([]duct.Port(nil), s.Ports...)
	for i := range c.Ports {
		c.Ports[i].Pos = keys.Pos{}
	}
	c.Machines = append([]duct.Machine(nil), s.Machines...)
	for i := range c.Machines {
		c.Machines[i].Pos = keys.Pos{}
	}
	c.Settings = append([]duct.Setting(nil), s.Settings...)
	for i := range c.Settings {
		c.Settings[i].Pos = keys.Pos{}
	}
	c.Instruments = append([]duct.Instrument(nil), s.Instruments...)
	for i := range c.Instruments {
		c.Instruments[i].Pos = keys.Pos{}
	}
	return &c
}

// alike compares two values deeply, numbers to a relative tolerance.
func alike(t *testing.T, path string, want, got reflect.Value, tol float64) {
	switch want.Kind() {
	case reflect.Float64:
		w, g := want.Float(), got.Float()
		assert.LessOrEqual(t, math.Abs(w-g), tol*math.Abs(w), "%s: want %v, got %v", path, w, g)
	case reflect.Struct:
		for i := range want.NumField() {
			if f := want.Type().Field(i); f.IsExported() {
				alike(t, path+"."+f.Name, want.Field(i), got.Field(i), tol)
			}
		}
	case reflect.Slice:
		if assert.Equal(t, want.Len(), got.Len(), path) {
			for i := range want.Len() {
				alike(t, path, want.Index(i), got.Index(i), tol)
			}
		}
	case reflect.Pointer:
		if assert.Equal(t, want.IsNil(), got.IsNil(), path) && !want.IsNil() {
			alike(t, path, want.Elem(), got.Elem(), tol)
		}
	default:
		assert.Equal(t, want.Interface(), got.Interface(), path)
	}
}

func TestUnitSystemsAgree(t *testing.T) {
	us, metric := good(t, "testdata/good/us.yaml"), good(t, "testdata/good/metric.yaml")
	assert.Equal(t, units.US, us.Units)
	assert.Equal(t, units.Metric, metric.Units)
	// The metric file writes inH2O as 249.089 Pa (six digits), hence 1e-6.
	alike(t, "system", reflect.ValueOf(*placeless(us)), reflect.ValueOf(*placeless(metric)), 1e-6)
}

// Each value of the US file against its conversion, so that two files read
// wrong in the same way are found too. 1 in = 25.4 mm and 1 ft = 0.3048 m
// exactly; 1 in H2O = 249.089 Pa at 4 °C.
func TestUS(t *testing.T) {
	s := good(t, "testdata/good/us.yaml")
	const cfm = 0.3048 * 0.3048 * 0.3048 / 60
	near := func(want, got float64) { t.Helper(); assert.InEpsilon(t, want, got, 1e-6) }

	assert.Equal(t, "Toy maker's loft", s.Name)
	assert.False(t, s.Air.Standard)
	near(293.15, s.Air.Temperature)
	near(304.8, s.Air.Altitude)
	near(0.4, s.Air.Humidity)
	assert.Zero(t, s.Air.Barometer)

	c := s.Collector
	near(0.2032, c.Inlet)
	require.Len(t, c.Curve, 4)
	near(1200*cfm, c.Curve[2].Flow)
	near(2.5*249.089, c.Curve[2].Pressure)
	near(1.201385, c.Density)
	near(2*249.089, c.Cyclone.Pressure)
	near(1000*cfm, c.Filter.At)
	assert.True(t, c.Bin)
	assert.Equal(t, []duct.Part{duct.Cyclone, duct.Filter, duct.Fan}, c.Order)

	require.Len(t, s.Ducts, 4)
	trunk, saw, lathe := s.Ducts[0], s.Ducts[1], s.Ducts[2]
	assert.Equal(t, duct.IntoCollector, trunk.Into)
	assert.Equal(t, []int{1, 2}, trunk.Children)
	assert.Equal(t, -1, trunk.Port)
	require.Len(t, trunk.Taps, 2)
	assert.Equal(t, "near", trunk.Taps[0].ID, "taps go by distance")
	near(9*0.3048, trunk.Taps[1].Distance)
	assert.True(t, saw.Straight)
	assert.True(t, saw.Abrupt)
	require.Len(t, saw.Fittings, 3)
	assert.Equal(t, duct.Fitting{Elbow: true, Angle: math.Pi / 2, Radius: 1.5, Count: 1}, saw.Fittings[0])
	near(math.Pi/4, saw.Fittings[1].Angle)
	assert.Equal(t, 2, saw.Fittings[1].Count)
	assert.Equal(t, duct.Fitting{Loss: 0.25, Count: 1, What: "flap, worn"}, saw.Fittings[2])
	assert.False(t, lathe.Straight)
	near(math.Pi/4, lathe.Angle)
	near(0.003*0.3048, lathe.Roughness)
	assert.Empty(t, lathe.Material)
	assert.Equal(t, "saw", lathe.Gate)
	assert.Equal(t, 0, lathe.Port)

	assert.Equal(t, duct.Port{ID: "7", Duct: 3, Loss: 1.25, Need: s.Ports[1].Need, Pos: keys.Pos{Line: 31, Column: 5}}, s.Ports[1])
	near(400*cfm, s.Ports[1].Need)
	assert.Equal(t, units.Velocity, s.Instruments[1].Measures)
	near(0.03, s.Instruments[1].OfReading)
	near(40*0.00508, s.Instruments[1].Floor)
	near(20.32, s.Limits.ConveyBranch)
	near(0.25, s.Uncertainty.Filter)
	assert.Equal(t, []int{0, 1, 2, 3}, s.Order)
	assert.Equal(t, []string{"saw", "hose"}, s.Gates())
}

func TestDefaults(t *testing.T) {
	s, problems := Load([]byte(`units: metric
collector: {inlet: 100, fan: {curve: [[0, 900], [600, 0]]}}
ducts: [{id: a, into: collector, diameter: 100, length: 2, material: pvc}]
ports: [{id: p, duct: a, hood: plain}]
`), "small")
	require.Empty(t, problems)
	assert.Equal(t, duct.Air{Standard: true, Temperature: 293.15}, s.Air)
	assert.Equal(t, []duct.Part{duct.Fan}, s.Collector.Order)
	assert.Zero(t, s.Collector.Density)
	assert.True(t, s.Ducts[0].Straight)
	assert.Zero(t, s.Ports[0].Need)
	assert.Equal(t, keys.Pos{Line: 3, Column: 9}, s.Ducts[0].Pos)
}

// A gate may share the id of a port or of its duct.
func TestGateSharesID(t *testing.T) {
	s := good(t, "testdata/good/us.yaml")
	_, port := s.PortNamed("saw")
	_, run := s.DuctNamed("hose")
	assert.True(t, port && run)
	assert.Contains(t, s.Gates(), "saw")
	assert.Contains(t, s.Gates(), "hose")
}

func TestLookups(t *testing.T) {
	s := good(t, "testdata/good/us.yaml")
	byHand := &duct.System{Ducts: s.Ducts, Ports: s.Ports} // not finished
	for _, s := range []*duct.System{s, byHand} {
		d, tap, ok := s.TapAt("far")
		assert.True(t, ok)
		assert.Equal(t, [2]int{0, 1}, [2]int{d, tap})
		i, ok := s.DuctNamed("hose")
		assert.True(t, ok)
		assert.Equal(t, 3, i)
		i, ok = s.PortNamed("7")
		assert.True(t, ok)
		assert.Equal(t, 1, i)
		_, _, tapped := s.TapAt("saw")
		_, run := s.DuctNamed("saw")
		_, port := s.PortNamed("hose")
		assert.False(t, tapped || run || port)
	}
}

func TestLoadFileMissing(t *testing.T) {
	s, problems := LoadFile(filepath.Join("testdata", "no-such-file.yaml"))
	assert.Nil(t, s)
	require.Error(t, problems.Err())
	assert.Contains(t, problems.Error(), "no-such-file.yaml: can't be read: ")
}

func TestTooBig(t *testing.T) {
	path := filepath.Join(t.TempDir(), "big.yaml")
	require.NoError(t, os.WriteFile(path, make([]byte, maxBytes+1), 0o600))
	s, problems := LoadFile(path)
	assert.Nil(t, s)
	assert.Contains(t, problems.Error(), "more than 4194304")
}

// A file that is wrong in every row says so in bounded words.
func TestManyProblems(t *testing.T) {
	data := []byte("units: metric\nducts:\n")
	for range 5000 {
		data = append(data, "  - {a: 1}\n"...)
	}
	s, problems := Load(data, "wrong")
	assert.Nil(t, s)
	require.Error(t, problems.Err())
	assert.Len(t, problems, 1001)
	assert.Contains(t, problems[1000].What, "more problems")
}
