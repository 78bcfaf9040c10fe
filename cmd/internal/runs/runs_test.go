package runs

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/edit"
)

func TestHeadersAreLenient(t *testing.T) {
	want := []Run{{Line: 2, ID: "main", Into: "collector", Size: "6", Length: "13.5 ft", Bends: "2"}}
	for name, text := range map[string]string{
		"as named":   "id,into,size,length (ft),bends\nmain,collector,6,13.5,2\n",
		"other way":  "Length (ft), Elbows ,Run,Flows into,Diameter\n13.5,2,main,collector,6\n",
		"tabs":       "id\tinto\tsize\tlength\tbends\nmain\tcollector\t6\t13.5 ft\t2\n",
		"semicolons": "\ufeffid;into;size;length (ft);bends\r\nmain;collector;6;13.5;2\r\n\r\n;;;;\r\n",
	} {
		got, list := Read([]byte(text), "t.csv")
		assert.NoError(t, list.Err(), name)
		assert.Equal(t, want, got, name)
	}
}

func TestTablesThatAreNone(t *testing.T) {
	for text, says := range map[string]string{
		"":                      "there is no table",
		"id,size\na,1\n":        "into is missing",
		"id,into,size,length\n": "no runs",
		"id,into,size,length,diameter\na,b,1,1,1": "twice",
	} {
		_, list := Read([]byte(text), "t.csv")
		require.Error(t, list.Err(), text)
		assert.Contains(t, list.Error(), says)
	}
	_, list := Read([]byte("id,into,size,length,colour\na,collector,1,1,red\n"), "t.csv")
	require.NoError(t, list.Err())
	assert.Contains(t, list.Error(), "colour")
}

func TestBends(t *testing.T) {
	for cell, want := range map[string][]Bend{
		"": nil, "0": nil, "none": nil, "2": {{"90", 2}}, "90": {{"90", 1}}, "2x90 + 45": {{"90", 2}, {"45", 1}}, "3 × 45°": {{"45", 3}}, "90, 45": {{"90", 1}, {"45", 1}},
	} {
		got, ok := BendsOf(cell)
		assert.True(t, ok, cell)
		assert.Equal(t, want, got, cell)
	}
	for _, cell := range []string{"many", "x90", "2x", "-1", "400", "2x90x3"} {
		_, ok := BendsOf(cell)
		assert.False(t, ok, cell)
	}
}

// The demo's ducts go into a table and come back the same, for all that a table
// holds.
func TestThereAndBack(t *testing.T) {
	data, err := os.ReadFile("../../lostair/demo/system.yaml")
	require.NoError(t, err)
	f, err := edit.Open(data, "system.yaml")
	require.NoError(t, err)
	list, wrong := Read(Write(Of(f.Root)), "t.csv")
	require.NoError(t, wrong.Err())
	require.Len(t, list, 14)

	blank, err := f.Apply(edit.Set(edit.At("ducts"), "[]"), edit.Set(edit.At("ports"), "[]"))
	require.NoError(t, err)
	g, wrong := Onto(blank, list, "t.csv")
	require.NoError(t, wrong.Err())
	a, bad := duct.Load(data, "a")
	require.NoError(t, bad.Err())
	b, bad := duct.Load(g.Bytes(), "b")
	require.NoError(t, bad.Err())
	for i := range a.Ducts {
		x, y := a.Ducts[i], b.Ducts[i]
		x.Taps, x.Pos, y.Pos = nil, duct.Pos{}, duct.Pos{}
		for k := range x.Fittings {
			x.Fittings[k].Radius = 1.5 // a table doesn't hold it
		}
		assert.Equal(t, x, y)
	}
	for i := range a.Ports {
		x, y := a.Ports[i], b.Ports[i]
		x.Pos, y.Pos = duct.Pos{}, duct.Pos{}
		assert.Equal(t, x, y)
	}
}

// A header says its unit as people write it, and numbers with a fraction get it too.
func TestHeadersWithTheirUnits(t *testing.T) {
	list, wrong := Read([]byte("name,flows into,branch angle,diameter mm,length in feet,gate location,cfm needed,elbows (90)\n"+
		"drop,main,45 wye,125,9 1/2,machine,400,2\n"), "t.csv")
	require.NoError(t, wrong.Err())
	assert.Empty(t, wrong, "every column is known")
	assert.Equal(t, []Run{{Line: 2, ID: "drop", Into: "main", Enters: "45 wye", Size: "125 mm", Length: "9 1/2 ft", GateAt: "machine", Need: "400 cfm", Bends: "2"}}, list)

	_, wrong = Read([]byte("id,into,size,length in mass,cfm\na,collector,1,1,1\n"), "t.csv")
	assert.ErrorContains(t, wrong.Err(), "length is missing")
}

// Of a gate only an end that is sure is taken: the wrong one would put the gate, and
// with it every reading of a shut branch, on the wrong side of a run.
func TestWhichEndHasTheGate(t *testing.T) {
	table := func(row, at string) string {
		text := "id,into,size,length,material,gate,gate_at\n"
		for _, r := range []string{"main,collector,6,5,spiral,", "drop,main,5,3,spiral,", "hose,drop,4,2,flex,", "other,main,5,3,spiral,"} {
			if strings.HasPrefix(r, row+",") {
				r += "g," + at
			}
			text += r + "\n"
		}
		return text
	}
	blank, err := edit.Open([]byte("ducts: []\nports: []\n"), "system.yaml")
	require.NoError(t, err)
	for _, c := range []struct{ row, at, want string }{ // want: what is written; "": refused
		{"drop", "", "gate: g}"}, {"drop", "upstream", "gate: g}"}, {"drop", "Machine", "gate: g}"}, {"drop", "at the machine", "gate: g}"},
		{"drop", "machine's end", "gate: g}"}, {"hose", "machine", "gate: g}"}, {"drop", "hose end", "gate: g}"},
		{"drop", "downstream", "at: downstream"}, {"drop", "collector_end", "at: downstream"}, {"drop", "main", "at: downstream"},
		{"drop", "main end", "at: downstream"}, {"drop", "wye", "at: downstream"}, {"drop", "at the join", "at: downstream"},
		{"drop", "top", ""}, {"drop", "bottom", ""}, {"drop", "ceiling", ""}, {"drop", "both ends", ""}, {"drop", "down", ""}, {"drop", "blah", ""},
		{"hose", "hose", ""}, {"other", "hose", ""}, {"hose", "wye", ""}, {"hose", "main", ""}, {"main", "main", ""}, {"main", "wye", ""},
	} {
		list, wrong := Read([]byte(table(c.row, c.at)), "t.csv")
		require.NoError(t, wrong.Err())
		f, wrong := Onto(blank, list, "t.csv")
		if c.want == "" {
			require.Error(t, wrong.Err(), "%s of %s", c.at, c.row)
			assert.Contains(t, wrong.Error(), `the gate_at "`+c.at+`"`)
			assert.Contains(t, wrong.Error(), "write upstream for")
			continue
		}
		require.NoError(t, wrong.Err(), "%s of %s", c.at, c.row)
		assert.Contains(t, string(f.Bytes()), c.want, "%s of %s", c.at, c.row)
	}
}

// The angle of a branch may have its mark, and the name of the join.
func TestAnglesOfBranches(t *testing.T) {
	for cell, want := range map[string]string{"45 wye": "45", "45° wye": "45", "wye 30": "30", "45 deg": "45", "90-degree tee": "90", "22.5": "22.5", "Straight": "straight", "0": "straight", "branch": "branch"} {
		assert.Contains(t, rowOf(&Run{ID: "a", Enters: cell}, nil, false), "enters: "+want+",", cell)
	}
}
