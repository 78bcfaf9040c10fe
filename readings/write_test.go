package readings

import (
	"bytes"
	"errors"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lostair/readings/units"
)

func TestWrite(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, Write(&b, []Row{
		{Open: Open{Gates: []string{"lathe", "mill"}}, Point: "M1", Quantity: units.StaticPressure, Value: math.NaN()},
		{Open: Open{All: true}, Point: "=cmd", Quantity: units.VelocityPressure, Value: 98.0665, Unit: "mmH2O", Instrument: "gauge",
			HoseOff: []string{"mill"}, Position: 3, Date: "2026-03-02", Note: "=1+1"},
		{Point: "filter", Quantity: units.PressureDrop, Value: 118, Typed: "1,18", Unit: "mbar", Note: "bag \"B\", half full"},
	}, units.US))
	assert.Equal(t, `date,open,point,quantity,value,unit,instrument,hose_off,position,note
,lathe+mill,M1,static_pressure,,inH2O,,,,
2026-03-02,all,'=cmd,velocity_pressure,10,mmH2O,gauge,mill,3,'=1+1
,none,filter,pressure_drop,"1,18",mbar,,,,"bag ""B"", half full"
`, b.String())
}

func TestWriteErrors(t *testing.T) {
	err := Write(&bytes.Buffer{}, []Row{{Point: "S1", Quantity: units.FlowRate, Value: 1, Unit: "Pa"}}, units.Metric)
	assert.ErrorContains(t, err, `row at "S1": "Pa" is a unit of pressure, not of flow`)
	assert.EqualError(t, Write(full{}, make([]Row, 1000), units.Metric), "the disk is full")
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("the disk is full") }

// aRow draws a row that Load would make.
func aRow(t *rapid.T) Row {
	id := rapid.StringMatching(`[a-zäøß][A-Za-z0-9_.-]{0,8}`).Filter(func(s string) bool {
		return !strings.EqualFold(s, allGates) && !strings.EqualFold(s, noGate) && s != Filter
	})
	ids := func(label string) []string {
		s := rapid.SliceOfNDistinct(id, 1, 3, rapid.ID[string]).Draw(t, label)
		slices.Sort(s)
		return s
	}
	r := Row{Point: id.Draw(t, "point"), Note: strings.TrimSpace(rapid.StringMatching(`[ -~äé=+@'"\n]{0,20}`).Draw(t, "note"))}
	r.Quantity = units.Quantity(rapid.IntRange(int(units.StaticPressure), int(units.FlowRate)).Draw(t, "quantity"))
	switch rapid.IntRange(0, 2).Draw(t, "open") {
	case 0:
		r.Open.All = true
	case 1:
		r.Open.Gates = ids("gates")
	}
	if rapid.Bool().Draw(t, "hose off") {
		r.HoseOff = ids("ports")
	}
	if r.Quantity == units.VelocityPressure || r.Quantity == units.MeanVelocity {
		r.Position = rapid.IntRange(0, 3).Draw(t, "position")
	}
	r.Date = rapid.SampledFrom([]string{"", "2026-03-02", "2024-02-29"}).Draw(t, "date")
	r.Instrument = rapid.SampledFrom([]string{"", "gauge", `ga"uge,`}).Draw(t, "instrument")
	d := r.Quantity.Dimension()
	r.Unit = rapid.SampledFrom(units.Symbols(d)).Draw(t, "unit")
	v, err := units.ParseIn(strconv.FormatFloat(rapid.Float64Range(0, 5000).Draw(t, "value"), 'f', 4, 64), d, r.Unit)
	require.NoError(t, err)
	r.Value, r.Typed = v.SI, v.Text
	return r
}

// What Write writes, Load reads: the same rows and so the same readings.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOfN(rapid.Custom(aRow), 1, 8).Draw(t, "rows")
		var b bytes.Buffer
		require.NoError(t, Write(&b, rows, units.Metric))
		s, list := Load(bytes.NewReader(b.Bytes()), "s.csv", units.US)
		require.NoError(t, list.Err())
		require.Len(t, s.Rows, len(rows))
		for i := range rows {
			got := s.Rows[i]
			got.Line, got.Columns = 0, Columns{}
			assert.Equal(t, rows[i], got)
		}
	})
}

// A workbook holds the rows that the CSV holds, and the same bytes each time.
func TestRoundTripOfAWorkbook(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rows := rapid.SliceOfN(rapid.Custom(aRow), 1, 4).Draw(t, "rows")
		var b, again bytes.Buffer
		require.NoError(t, WriteWorkbook(&b, rows, units.Metric))
		require.NoError(t, WriteWorkbook(&again, rows, units.Metric))
		require.Equal(t, again.Bytes(), b.Bytes())
		s, list := Load(&b, "s.xlsx", units.US)
		require.NoError(t, list.Err())
		require.Equal(t, "readings", s.Sheet)
		require.Len(t, s.Rows, len(rows))
		for i := range rows {
			got := s.Rows[i]
			got.Line, got.Columns = 0, Columns{}
			assert.Equal(t, rows[i], got)
		}
	})
	require.ErrorContains(t, WriteWorkbook(&bytes.Buffer{}, []Row{{Point: "S1", Quantity: units.FlowRate, Value: 1, Unit: "Pa"}}, units.Metric), "is a unit of pressure, not of flow")
	require.EqualError(t, WriteWorkbook(full{}, make([]Row, 9), units.Metric), "the disk is full")
}

// A value without its text comes back to the last bits.
func TestRoundTripOfValues(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := aRow(t)
		r.Typed = ""
		var b bytes.Buffer
		require.NoError(t, Write(&b, []Row{r}, units.Metric))
		s, list := Load(&b, "s.csv", units.Metric)
		require.NoError(t, list.Err())
		assert.InDelta(t, r.Value, s.Rows[0].Value, 1e-14*r.Value)
	})
}
