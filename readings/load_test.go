package readings

import (
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
	"unicode/utf16"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/readings/units"
)

func load(t *testing.T, csv string) *Survey {
	t.Helper()
	s, list := Load(strings.NewReader(csv), "survey.csv", units.Metric)
	require.Empty(t, list)
	return s
}

const plain = `date,open,point,quantity,value,unit,instrument,note
2026-03-02,mill,S1,static_pressure,-1180,Pa,gauge,
2026-03-02,mill,mill,velocity,21.4,m/s,vane,hose on
2026-03-02,mill+lathe,M1,static_pressure,-1390,Pa,gauge,
2026-03-02,mill,filter,pressure_drop,118,Pa,gauge,
`

func TestLoad(t *testing.T) {
	s := load(t, plain)
	require.Len(t, s.Rows, 4)
	assert.Equal(t, Row{Line: 4, Open: Open{Gates: []string{"lathe", "mill"}}, Point: "M1", Quantity: units.StaticPressure, Value: -1390,
		Typed: "-1390", Unit: "Pa", Instrument: "gauge", Date: "2026-03-02",
		Columns: Columns{Date: 1, Open: 12, Point: 23, Quantity: 26, Value: 42, Unit: 48, Instrument: 51}}, s.Rows[2])
	assert.Equal(t, "hose on", s.Rows[1].Note)
	require.Len(t, s.Readings, 4)
	assert.Equal(t, Reading{Open: Open{Gates: []string{"mill"}}, Point: "filter", Quantity: units.PressureDrop, Value: 118, Count: 1,
		Instrument: "gauge", Date: "2026-03-02", Rows: []int{3}}, s.Readings[3])
}

// dialects are ways in which a spreadsheet may save the same survey.
func TestDialects(t *testing.T) {
	want := load(t, plain)
	utf16le := func(s string, big bool) string {
		var b strings.Builder
		for _, u := range utf16.Encode([]rune("\uFEFF" + s)) {
			lo, hi := byte(u), byte(u>>8)
			if big {
				lo, hi = hi, lo
			}
			b.WriteByte(lo)
			b.WriteByte(hi)
		}
		return b.String()
	}
	sep := func(s string) string { return strings.ReplaceAll(plain, ",", s) }
	decimal := strings.ReplaceAll(sep(";"), "21.4", "21,4")
	for name, csv := range map[string]string{
		"byte order mark":      "\uFEFF" + plain,
		"CRLF":                 strings.ReplaceAll(plain, "\n", "\r\n"),
		"lone CR":              strings.ReplaceAll(plain, "\n", "\r"),
		"no end of line":       strings.TrimSuffix(plain, "\n"),
		"semicolons":           sep(";"),
		"decimal comma":        decimal,
		"tabs":                 sep("\t"),
		"tabs, decimal comma":  strings.ReplaceAll(sep("\t"), "21.4", "21,4"),
		"quoted decimal comma": strings.ReplaceAll(plain, "21.4", `"21,4"`),
		"UTF-16LE":             utf16le(plain, false),
		"UTF-16BE":             utf16le(plain, true),
		"upper-case header":    strings.ToUpper(plain[:49]) + plain[49:],
		"spaces":               sep(" , "),
		"quotes":               `"` + strings.ReplaceAll(strings.ReplaceAll(strings.TrimSpace(plain), ",", `","`), "\n", "\"\n\"") + "\"\n",
		"sep line":             "sep=;\n" + decimal,
		"empty and comments":   "# before\n\n" + strings.ReplaceAll(plain, "\n", "\n\n  # \" between, as it were\n,,,,\n# more\n"),
		"spoken quantities":    strings.ReplaceAll(plain, "static_pressure", "Static Pressure"),
		"unit in the value":    strings.ReplaceAll(plain, "-1180,Pa", "-1180 pa,"),
		"another unit sign":    strings.ReplaceAll(plain, ",Pa", ",PA"),
		"unit left out":        strings.ReplaceAll(strings.ReplaceAll(plain, ",Pa", ","), ",m/s", ","),
		"true minus":           strings.ReplaceAll(plain, "-1", "−1"),
	} {
		t.Run(name, func(t *testing.T) {
			got := load(t, csv)
			require.Len(t, got.Rows, len(want.Rows))
			assert.Equal(t, want.Readings, got.Readings)
		})
	}
}

// Columns may stand in any order; places follow them, counted in characters.
func TestColumnsInAnyOrder(t *testing.T) {
	s := load(t, "value,Hose Off,open,quantity,point\n 95 , mill ,ALL, velocity_pressure,Säge\n,,,,\n\"80\",,none,center-velocity,ä\n")
	require.Len(t, s.Rows, 2)
	r := s.Rows[0]
	assert.Equal(t, Columns{Value: 2, HoseOff: 7, Open: 13, Quantity: 18, Point: 36}, r.Columns)
	assert.Equal(t, []string{"mill"}, r.HoseOff)
	assert.True(t, r.Open.All)
	assert.Equal(t, units.CentreVelocity, s.Rows[1].Quantity)
	assert.Equal(t, 4, s.Rows[1].Line)
	assert.Equal(t, Open{}, s.Rows[1].Open)
}

// A bare number has the unit of the system.
func TestUnitsOfTheSystem(t *testing.T) {
	const csv = "open,point,quantity,value,unit\nall,S1,static_pressure,-4.78,\nall,S1,velocity,4000,\nall,S1,flow,400,\nall,S1,flow,30,L/s\n"
	s, list := Load(strings.NewReader(csv), "-", units.US)
	require.Empty(t, list)
	for i, want := range []struct {
		si   float64
		unit string
	}{{-1190.645, "inH2O"}, {20.32, "fpm"}, {0.1887790, "cfm"}, {0.03, "L/s"}} {
		assert.InEpsilon(t, want.si, s.Rows[i].Value, 1e-6)
		assert.Equal(t, want.unit, s.Rows[i].Unit)
	}
}

func TestWarnings(t *testing.T) {
	for _, c := range []struct{ csv, want string }{
		{"open,point,quantity,value,weather\nall,S1,flow,600,dry\n",
			`1:27: warning: the column "weather" is not known and is not read; columns are date, open, point, quantity, value, unit, instrument, hose_off, position, note, factor`},
		{"open,point,quantity,value,intrument\nall,S1,flow,600,vane\n",
			`1:27: warning: the column "intrument" is not known and is not read; did you mean "instrument"?`},
		{"open,point,quantity,value\nall,S1,flow,600\nall,S2,flow,\nall,S3,flow\n",
			`3:13: warning: 2 rows, from this one on, have no value and are left out; fill them in or delete the rows`},
		{"open,point,quantity,value\nall,S1,suction,-1180\n",
			`2:16: warning: the suction "-1180" is negative, that is, above the room's pressure; write suction as positive, or use static_pressure`},
		{"open,point,quantity,value,position\nall,S1,velocity,21,1\nall,S1,velocity,22,4\n",
			`2:20: warning: the traverse at "S1" has no position 2, 3; read what is missing, or number the positions anew`},
		{"open,point,quantity,value,position\nall,S1,velocity_pressure,210,1\n",
			`2:30: warning: the traverse at "S1" has one position only; read the other positions, or leave position empty for a reading on the axis`},
		{"open,point,quantity,value,note\nall,S1,velocity,21,4\n",
			`2:20: warning: the note "4" right after the value "21" may be its decimals; write the value with a decimal point`},
		{"open,point,quantity,value\n#1,S1,flow,600\n\"#2\",S1,flow,610\n# flow, later\n",
			`2:1: warning: this line begins with # and is passed over as a comment; if it is a reading, put its first field in quotation marks`},
	} {
		s, list := Load(strings.NewReader(c.csv), "s.csv", units.Metric)
		assert.NotNil(t, s)
		assert.NoError(t, list.Err())
		assert.Equal(t, "s.csv:"+c.want, list.Error())
	}
}

// What looks like a slip in one place is none in another.
func TestNoWarnings(t *testing.T) {
	for _, csv := range []string{
		"open,point,quantity,value,unit,note\nall,S1,velocity,21,,4\n",
		"open,point,quantity,value,note\nall,S1,velocity,21.0,4\n",
		"open;point;quantity;value;note\nall;S1;velocity;21;4\n",
		"date,open,point,quantity,value\n#2026-03-02,all,S1,flow,600\n2026-03-02,all,S1,flow,600\n",
		"open,point,quantity,value\n\"# spoilt, not used\",,,\nall,S1,flow,0\nall,S1,velocity_pressure,-0\nall,S1,velocity,-2\n",
	} {
		load(t, csv)
	}
	s := load(t, "open,point,quantity,value\n\"#2\",S1,flow,610\n")
	assert.Equal(t, "#2", s.Rows[0].Open.String())
}

func TestLimits(t *testing.T) {
	const head = "open,point,quantity,value\n"
	for name, c := range map[string]struct{ csv, want string }{
		"bytes": {head + strings.Repeat("#\n", mostBytes/2), "s.csv: the file is larger than 16 MiB; give the readings file of one survey"},
		"line": {head + "all," + strings.Repeat("S", mostLine) + ",flow,1\n",
			"s.csv:2: the line is longer than 64 KiB; check that this is a readings file, and its quotation marks"},
		"rows": {head + strings.Repeat("all,S1,flow,1\n", mostRows+1), "s.csv:200002: the file has more than 200000 rows; give the readings file of one survey"},
	} {
		t.Run(name, func(t *testing.T) {
			s, list := Load(strings.NewReader(c.csv), "s.csv", units.Metric)
			assert.Nil(t, s)
			assert.Equal(t, c.want, list.Error())
		})
	}
	s, list := Load(strings.NewReader(head+strings.Repeat("all,S1,flow,1\n", mostRows)), "s.csv", units.Metric)
	require.Empty(t, list)
	assert.Equal(t, mostRows, s.Readings[0].Count)
}

// What a file takes in memory is in proportion to its size, whatever it holds.
func TestMemoryIsInProportion(t *testing.T) {
	const most = 800 // bytes allocated for each of the file
	for name, row := range map[string]string{"rows": "all,S1,flow,1\n", "wrong": "x,y\n", "quotes": "\"\",\"\"\n", "separators": ",,,,,,,,,,\n", "empty": "\n", "comments": "#\n"} {
		for _, n := range []int{10_000, 100_000} {
			csv := "open,point,quantity,value\n" + strings.Repeat(row, n)
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			Load(strings.NewReader(csv), "s.csv", units.Metric)
			runtime.ReadMemStats(&after)
			assert.Less(t, (after.TotalAlloc-before.TotalAlloc)/uint64(len(csv)), uint64(most), "%s, %d", name, n)
		}
	}
}

// A file that is wrong throughout is not listed throughout, and errors are
// not cut off for warnings.
func TestManyProblems(t *testing.T) {
	csv := "open,point,quantity,value\n" + strings.Repeat("all,S1,suction,-1\n", 300) + "all,S1,flow,x\n"
	s, list := Load(strings.NewReader(csv), "s.csv", units.Metric)
	assert.Nil(t, s)
	require.Len(t, list, mostProblems+1)
	assert.Equal(t, 302, list[mostProblems-1].Line)
	assert.Equal(t, "s.csv: 101 more problems are not listed; correct these first", list[mostProblems].String())
	_, list = Load(strings.NewReader(csv[:len(csv)-len("all,S1,flow,x\n")]), "s.csv", units.Metric)
	assert.NoError(t, list.Err())
}

func TestLoadFile(t *testing.T) {
	dir := t.TempDir()
	_, list := LoadFile(filepath.Join(dir, "none.csv"), units.Metric)
	require.Len(t, list, 1)
	assert.Equal(t, "the file cannot be read: no such file or directory", list[0].What)
	_, list = LoadFile(dir, units.Metric)
	require.Len(t, list, 1)
	assert.Equal(t, "the file cannot be read: is a directory", list[0].What)
	path := filepath.Join(dir, "s.csv")
	require.NoError(t, os.WriteFile(path, []byte(plain), 0o600))
	s, list := LoadFile(path, units.Metric)
	require.Empty(t, list)
	assert.Equal(t, path, s.File)
}

type broken struct{}

func (broken) Read([]byte) (int, error) { return 0, errors.New("the cable is off") }

func TestReadError(t *testing.T) {
	s, list := Load(broken{}, "-", units.Metric)
	assert.Nil(t, s)
	assert.Equal(t, "-: the file cannot be read: the cable is off; check the name and that you may read it", list.Error())
}

func TestOpenString(t *testing.T) {
	for want, o := range map[string]Open{"all": {All: true}, "none": {}, "a": {Gates: []string{"a"}}, "a+b": {Gates: []string{"a", "b"}}} {
		assert.Equal(t, want, o.String())
		back, bad := parseOpen(want)
		assert.Nil(t, bad)
		assert.Equal(t, o, back)
	}
}
