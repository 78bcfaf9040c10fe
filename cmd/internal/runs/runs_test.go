package runs

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/edit"
	"lostair/diagnose/duct/keys"
	"lostair/diagnose/duct/systemfile"
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
	bends := func(pairs ...any) (out []Fitting) {
		for i := 0; i < len(pairs); i += 2 {
			out = append(out, Fitting{Angle: pairs[i].(string), Count: pairs[i+1].(int)})
		}
		return out
	}
	for cell, want := range map[string][]Fitting{
		"": nil, "0": nil, "none": nil, "2": bends("90", 2), "90": bends("90", 1), "2x90 + 45": bends("90", 2, "45", 1), "3 × 45°": bends("45", 3), "90, 45": bends("90", 1, "45", 1),
		"2x90 R1": {{Angle: "90", Count: 2, Radius: "1"}}, "90 r 2,5; 45": {{Angle: "90", Count: 1, Radius: "2.5"}, {Angle: "45", Count: 1}},
		"loss 0.3 (Grille, fine + bent)": {{Loss: "0.3", Count: 1, What: "Grille, fine + bent"}}, "90 (sweep) + 2x loss 0,4": {{Angle: "90", Count: 1, What: "sweep"}, {Loss: "0.4", Count: 2}},
	} {
		got, ok := FittingsOf(cell)
		assert.True(t, ok, cell)
		assert.Equal(t, want, got, cell)
	}
	for _, cell := range []string{"many", "x90", "2x", "-1", "400", "2x90x3", "loss", "loss 1 R2", "90 (", "+"} {
		_, ok := FittingsOf(cell)
		assert.False(t, ok, cell)
	}
}

func TestTaps(t *testing.T) {
	for cell, want := range map[string][]tap{
		"": nil, "none": nil, "4.5": {{"", "4.5"}}, "T1: 4.5": {{"T1", "4.5"}}, "T1 4,5 m; M 2 at 12 ft 6 in": {{"T1", "4,5 m"}, {"M 2", "12 ft 6 in"}}, "T-saw @ 9 1/2": {{"T-saw", "9 1/2"}},
		"T1 2, T2 3": {{"T1", "2"}, {"T2", "3"}}, "1.2 + 3": {{"", "1.2"}, {"", "3"}},
	} {
		got, ok := tapsOf(cell)
		assert.True(t, ok, cell)
		assert.Equal(t, want, got, cell)
	}
	for _, cell := range []string{"middle", "T1", "T1: far", "T1: 4 kg"} {
		_, ok := tapsOf(cell)
		assert.False(t, ok, cell)
	}
	list, wrong := Read([]byte("id,into,size,length,taps (ft)\na,collector,6,9,T1: 4 + 5 + 3 m\n"), "t.csv")
	require.NoError(t, wrong.Err())
	assert.Equal(t, "T1: 4 ft + 5 ft + 3 m", list[0].Taps)
}

// The ducts of every system file that we have go into a table and come back the same.
func TestThereAndBack(t *testing.T) {
	var files []string
	for _, pattern := range []string{"cmd/lostair/demo*/system.yaml", "cmd/lostair/starter/*.yaml", "testdata/*/*.yaml", "testdata/published/chains/*.yaml", "diagnose/duct/systemfile/testdata/good/*.yaml", "diagnose/track/testdata/*/*.yaml", "cmd/internal/runs/testdata/*.yaml"} {
		names, err := filepath.Glob("../../../" + pattern)
		require.NoError(t, err)
		require.NotEmpty(t, names, pattern)
		files = append(files, names...)
	}
	for _, name := range files {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		a, bad := systemfile.Load(data, "a")
		require.NoError(t, bad.Err(), name)
		b := unplaced(backFromTable(t, data))
		unplaced(a)
		assert.Equal(t, a.Ducts, b.Ducts, name)
		assert.Equal(t, a.Ports, b.Ports, name)
		assert.Equal(t, a.Machines, b.Machines, name)
	}
}

// backFromTable is a system file that a table of its runs made anew.
func backFromTable(t *testing.T, data []byte) *duct.System {
	t.Helper()
	f, err := edit.Open(data, "system.yaml")
	require.NoError(t, err)
	list, wrong := Read(Write(Of(f.Root)), "t.csv")
	require.NoError(t, wrong.Err())
	blank := f
	for _, k := range []string{"ducts", "ports"} {
		blank, err = blank.Apply(edit.Set(edit.At(k), "[]"))
		require.NoError(t, err)
	}
	if f.Root.Has("machines") {
		blank, err = blank.Apply(edit.Delete(edit.At("machines")))
		require.NoError(t, err)
	}
	g, wrong := Onto(blank, list, "t.csv")
	require.NoError(t, wrong.Err())
	out, bad := systemfile.Load(g.Bytes(), "b")
	require.NoError(t, bad.Err(), "%s", g.Bytes())
	return out
}

// unplaced is a system without the places of its rows in the file; its ports stand in
// the order of their ducts, as in a table, and its machines in that of their names.
func unplaced(s *duct.System) *duct.System {
	var ports []duct.Port
	now := map[int]int{}
	for i := range s.Ducts {
		d := &s.Ducts[i]
		d.Pos = keys.Pos{}
		for k := range d.Taps {
			d.Taps[k].Pos = keys.Pos{}
		}
		if d.Port >= 0 {
			now[d.Port] = len(ports)
			ports = append(ports, s.Ports[d.Port])
			d.Port = len(ports) - 1
		}
	}
	for i := range ports {
		ports[i].Pos = keys.Pos{}
	}
	s.Ports = ports
	for i := range s.Machines {
		m := &s.Machines[i]
		m.Pos = keys.Pos{}
		for k := range m.Ports {
			m.Ports[k] = now[m.Ports[k]]
		}
	}
	slices.SortFunc(s.Machines, func(a, b duct.Machine) int { return strings.Compare(a.ID, b.ID) })
	return s
}

// What people write of a machine of two ports, its own port, a hose and a rectangular
// duct, under names of their own.
func TestMoreOfARun(t *testing.T) {
	list, wrong := Read([]byte("run,joins,size (in),len (ft),type,tool,air (cfm),port size (in),squeezed (%),hose lining,tap (ft),blast gate\n"+
		"main,collector,8 x 6,20,galvanized,,,,,,T1 4 + 12,\n"+
		"top,main,4,6,hose,planer,900,3.5,15,smooth bore,,planer\n"+
		"belly,main,4,5,hose,planer,,2 x 10,,,,\n"), "t.csv")
	require.NoError(t, wrong.Err())
	assert.Empty(t, wrong, "every column is known")
	blank, err := edit.Open([]byte("units: us\nducts: []\nports: []\n"), "system.yaml")
	require.NoError(t, err)
	f, wrong := Onto(blank, list, "t.csv")
	require.NoError(t, wrong.Err())
	for _, row := range []string{
		"{id: main, into: collector, width: 8 in, height: 6 in, length: 20 ft, material: galvanised, taps: {T1: 4 ft, T-main-2: 12 ft}}",
		"{id: top, into: main, diameter: 4 in, length: 6 ft, material: flexible, compressed: 15 %, lining: smooth, gate: planer}",
		"{id: planer-1, duct: top, hood: 1.0, opening: 3.5 in}", "{id: planer-2, duct: belly, hood: 1.0, opening: {width: 2 in, height: 10 in}}",
		"{id: planer, ports: [planer-1, planer-2], need: 900 cfm}",
	} {
		assert.Contains(t, string(f.Bytes()), row)
	}
}

// What of a row is not understood is refused with its row and a cure.
func TestCellsThatAreNotUnderstood(t *testing.T) {
	for row, says := range map[string]string{
		"a,collector,4,1,hose,,,,,,somewhere": `the taps "somewhere" are not understood; write for each hole`,
		"a,collector,4,1,hose,saw,,,,rough,":  `the lining "rough" is not understood; write smooth`,
		"a,collector,4,1,hose,saw,,,odd,,":    `the opening "odd" is no size; write the inside diameter`,
		"a,collector,4,1,hose,saw,4 in,,,,":   `the port "4 in" is a size and no name; name that column opening`,
	} {
		list, wrong := Read([]byte("id,into,size,length,material,machine,port,need,opening,lining,taps\n"+row+"\n"), "t.csv")
		require.NoError(t, wrong.Err())
		blank, err := edit.Open([]byte("ducts: []\nports: []\n"), "system.yaml")
		require.NoError(t, err)
		_, wrong = Onto(blank, list, "t.csv")
		require.Error(t, wrong.Err(), row)
		assert.Contains(t, wrong.Error(), "t.csv:2: run \"a\": "+says)
	}
	list, wrong := Read([]byte("id,into,size,length,machine,need\na,main,4,1,planer,9\nb,main,4,1,planer,9\n"), "t.csv")
	require.NoError(t, wrong.Err())
	blank, err := edit.Open([]byte("ducts: []\nports: []\n"), "system.yaml")
	require.NoError(t, err)
	_, wrong = Onto(blank, list, "t.csv")
	assert.ErrorContains(t, wrong.Err(), `t.csv:3: run "b": machine "planer" has a need in row 2 already`)
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
		assert.Contains(t, rowOf(&Run{ID: "a", Enters: cell}, nil, nil, false, "", ""), "enters: "+want+",", cell)
	}
}
