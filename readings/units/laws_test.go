package units

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// anUnit draws a unit of any dimension.
func anUnit(t *rapid.T) (Dimension, *unit) {
	d := rapid.SampledFrom(everyDimension()).Draw(t, "dimension")
	return d, &dimensions[d].units[rapid.IntRange(0, len(dimensions[d].units)-1).Draw(t, "unit")]
}

// aValue draws a number that is neither colder than absolute zero nor so
// large that its SI value is infinite; nor, zero aside, so small that a
// conversion leaves the range in which a float64 has all its digits.
func aValue(t *rapid.T) float64 {
	v := rapid.Float64Range(-200, 1e9).Draw(t, "value")
	if math.Abs(v) < 1e-290 {
		return 0
	}
	return v
}

func TestToAndFrom(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		_, u := anUnit(t)
		v := aValue(t)
		back := u.fromSI(u.toSI(v))
		assert.InDelta(t, v, back, 1e-12*(math.Abs(v)+u.offset))
	})
}

func TestParseReadsWhatIsPrinted(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, u := anUnit(t)
		v := aValue(t)
		number := strconv.FormatFloat(v, 'f', -1, 64)
		got, err := Parse(number+" "+u.symbol, d, Metric)
		if u.symbol == "K" && v < 0 {
			require.Error(t, err)
			return
		}
		require.NoError(t, err)
		assert.Equal(t, u.toSI(v), got.SI)
		assert.Equal(t, u.symbol, got.Unit)
	})
}

// Format loses no more than its digits promise.
func TestFormatIsClose(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := rapid.SampledFrom(everyDimension()).Draw(t, "dimension")
		s := rapid.SampledFrom([]System{Metric, US}).Draw(t, "system")
		v := rapid.Float64Range(0.01, 1e6).Draw(t, "value")
		back, err := Parse(Format(d.ToSI(s, v), d, s), d, s)
		require.NoError(t, err)
		assert.InEpsilon(t, v, d.FromSI(s, back.SI), 0.0051)
	})
}

// The choice of units changes nothing: a value written in any unit of its
// dimension comes back from any other.
func TestAnyUnitToAnyOther(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, u := anUnit(t)
		w := &dimensions[d].units[rapid.IntRange(0, len(dimensions[d].units)-1).Draw(t, "other")]
		v := rapid.Float64Range(1, 1e6).Draw(t, "value")
		si := u.toSI(v)
		there, err := Convert(si, d, w.symbol)
		require.NoError(t, err)
		again, err := Parse(strconv.FormatFloat(there, 'g', -1, 64)+w.symbol, d, US)
		require.NoError(t, err)
		assert.InEpsilon(t, si, again.SI, 1e-11)
	})
}

func TestCaseAndSpacesDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d, u := anUnit(t)
		if u.symbol == "" {
			return
		}
		var b strings.Builder
		for _, r := range u.symbol {
			if rapid.Bool().Draw(t, "upper") {
				r = unicode.ToUpper(r)
			}
			b.WriteRune(r)
			b.WriteString(rapid.SampledFrom([]string{"", " "}).Draw(t, "gap"))
		}
		got, ok := Lookup(b.String(), d)
		assert.True(t, ok, b.String())
		assert.Equal(t, u.symbol, got)
	})
}

// FuzzParse: whatever the text, no panic; what is accepted is finite, in a
// known unit, and reads the same again.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"4 in", `4"`, "1,5 kPa", "-1,180", "−12 mbar", "2 1/2 in", "NaN", "1e400", "5 ft/min", "2.5 in. w.g.",
		"20 °C", "15%", "2x", "", "1_0", "0x1p4", "٣", "1e", "\xff", "5\u00a0m³/h"} {
		for d := range dimensions {
			f.Add(s, uint8(d), d%2 == 0)
		}
	}
	f.Fuzz(func(t *testing.T, text string, dim uint8, us bool) {
		d, s := Dimension(int(dim)%len(dimensions)), Metric
		if us {
			s = US
		}
		v, err := Parse(text, d, s)
		if err != nil {
			var e *Error
			require.ErrorAs(t, err, &e)
			assert.NotEmpty(t, e.What)
			assert.NotEmpty(t, e.Do)
			return
		}
		assert.False(t, math.IsNaN(v.SI) || math.IsInf(v.SI, 0))
		_, ok := Lookup(v.Unit, d)
		assert.True(t, ok)
		again, err := ParseIn(v.Text, d, v.Unit)
		require.NoError(t, err)
		assert.Equal(t, v, again)
	})
}

// The number at the start of a text is what its grammar says, written here a
// second time as a regular expression.
func TestLeadingFollowsItsGrammar(t *testing.T) {
	grammar := regexp.MustCompile(`^[+\-−–]?(?:[0-9]+(?:[.,][0-9]+)*|(?:[.,][0-9]+)+)\.?(?:[eE][+\-−–]?[0-9]+)?`)
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOfN(rapid.SampledFrom([]rune("0159..,,+-−–eEx ·")), 0, 12, -1).Draw(t, "text")
		assert.Equal(t, grammar.FindString(text), leading(text))
	})
}
