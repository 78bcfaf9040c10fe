package runs

import (
	"os"
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
