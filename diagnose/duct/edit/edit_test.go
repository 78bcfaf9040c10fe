package edit

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lostair/diagnose/duct/systemfile"
)

const shop = `# our shop
units: metric   # mm, m
collector:
  inlet: 150 # measured
  fan:
    curve:           # from the sheet
      - [0, 2000]
      - [1500, 100]   # the last one
ducts:
  # the main
  - {id: main, into: collector, diameter: 150, length: 4, material: spiral, fittings: [{elbow: 90}], taps: {M1: 2.0}} # runs along the wall
  - id: "saw #1"
    into: main   # by a wye
    diameter: 100
    length: 2.5
    material: flexible
    gate: saw
ports:
  - {id: saw, duct: "saw #1", hood: 1.2,
     need: 600}   # two lines
instruments: []
`

func open(t testing.TB, text string) *File {
	t.Helper()
	f, err := Open([]byte(text), "system.yaml")
	require.NoError(t, err)
	return f
}

// Each change alters the text named and leaves all else as it is.
func TestChangesLeaveTheRestAlone(t *testing.T) {
	for name, c := range map[string]struct {
		change    Change
		from, to  string
		unchanged bool
	}{
		"a value in a row":        {Set(At("ducts", 0, "length"), "4.5"), "length: 4,", "length: 4.5,", false},
		"with a unit":             {Set(At("ducts", 0, "diameter"), "6 in"), "diameter: 150, l", "diameter: 6 in, l", false},
		"before a comment":        {Set(At("collector", "inlet"), "160"), "inlet: 150 #", "inlet: 160 #", false},
		"in lines of its own":     {Set(At("ducts", 1, "into"), "collector"), "into: main ", "into: collector ", false},
		"in quotes":               {Set(At("ducts", 1, "id"), "saw-hose"), `id: "saw #1"`, "id: saw-hose", false},
		"a list in brackets":      {Set(At("ducts", 0, "fittings"), "[{elbow: 45, count: 2}]"), "[{elbow: 90}]", "[{elbow: 45, count: 2}]", false},
		"a new key in a row":      {Set(At("ducts", 0, "gate"), "g1"), "taps: {M1: 2.0}}", "taps: {M1: 2.0}, gate: g1}", false},
		"a new key in lines":      {Set(At("ducts", 1, "taps"), "{S1: 1}"), "    gate: saw\n", "    gate: saw\n    taps: {S1: 1}\n", false},
		"a new tap":               {Set(At("ducts", 0, "taps", "M2"), "3"), "{M1: 2.0}", "{M1: 2.0, M2: 3}", false},
		"a key goes":              {Delete(At("ducts", 0, "material")), " material: spiral,", "", false},
		"the last key goes":       {Delete(At("ducts", 0, "taps")), ", taps: {M1: 2.0}", "", false},
		"a key in lines goes":     {Delete(At("ducts", 1, "gate")), "    gate: saw\n", "", false},
		"a key over two lines":    {Set(At("ports", 0, "need"), "650"), "need: 600}", "need: 650}", false},
		"a row is added":          {Insert(At("ducts", 2), "{id: x, into: main}"), "    gate: saw\n", "    gate: saw\n  - {id: x, into: main}\n", false},
		"a row in front":          {Insert(At("ducts", 1), "{id: x}"), "  - id: \"saw", "  - {id: x}\n  - id: \"saw", false},
		"a row goes":              {Delete(At("ducts", 1)), shop[strings.Index(shop, "  - id: \"saw"):strings.Index(shop, "ports:")], "", false},
		"the only row goes":       {Delete(At("ports", 0)), shop[strings.Index(shop, "ports:"):strings.Index(shop, "instruments:")], "ports: []\n", false},
		"the first row of a list": {Insert(At("instruments", 0), "{id: gauge, measures: pressure}"), "instruments: []\n", "instruments:\n  - {id: gauge, measures: pressure}\n", false},
		"a point of the curve":    {Set(At("collector", "fan", "curve", 1, 1), "120"), "[1500, 100]", "[1500, 120]", false},
		"a point is added":        {Insert(At("collector", "fan", "curve", 1), "[800, 1700]"), "      - [1500", "      - [800, 1700]\n      - [1500", false},
		"a new part":              {Set(At("collector", "bin"), "true"), "# the last one\n", "# the last one\n  bin: true\n", false},
		"a new section":           {Set(At("limits"), "{conveying_velocity: {branch: 20}}"), "instruments: []\n", "instruments: []\nlimits: {conveying_velocity: {branch: 20}}\n", false},
	} {
		t.Run(name, func(t *testing.T) {
			require.Equal(t, 1, strings.Count(shop, c.from), "the test names a place that is not one")
			g, err := open(t, shop).Apply(c.change)
			require.NoError(t, err)
			assert.Equal(t, strings.Replace(shop, c.from, c.to, 1), string(g.Bytes()))
		})
	}
}

func TestWhatCantBeDoneChangesNothing(t *testing.T) {
	f := open(t, shop)
	for name, c := range map[string]Change{
		"no such row":        Set(At("ducts", 9, "length"), "1"),
		"no such list":       Insert(At("pipes", 0), "{id: x}"),
		"a key to delete":    Delete(At("ducts", 0, "gate")),
		"a list as a key":    Set(At("ducts", "id"), "x"),
		"an open bracket":    Set(At("ducts", 0, "length"), "[1"),
		"a second key":       Set(At("ducts", 0, "length"), "1, id: other"),
		"two lines":          Set(At("name"), "a\nunits: us"),
		"an anchor":          Set(At("name"), "&x y"),
		"the key on a dash":  Delete(At("ducts", 1, "id")),
		"below a mere value": Set(At("units", "x"), "y"),
	} {
		t.Run(name, func(t *testing.T) {
			_, err := f.Apply(c)
			assert.Error(t, err)
			assert.Equal(t, shop, string(f.Bytes()))
		})
	}
}

func TestLineEndsAndMarkStay(t *testing.T) {
	in := "\ufeff" + strings.ReplaceAll(shop, "\n", "\r\n")
	g, err := open(t, in).Apply(Set(At("ducts", 0, "length"), "4.5"))
	require.NoError(t, err)
	assert.Equal(t, strings.Replace(in, "length: 4,", "length: 4.5,", 1), string(g.Bytes()))
}

// Every value of every file that we have can be replaced by itself, and then the
// file is the same to the letter.
func TestEveryValueOfEveryFile(t *testing.T) {
	files, err := filepath.Glob("../../../cmd/lostair/*/system*.yaml")
	require.NoError(t, err)
	require.NotEmpty(t, files)
	for _, name := range files {
		data, err := os.ReadFile(name)
		require.NoError(t, err)
		f := open(t, string(data))
		n := 0
		eachSingle(f.Root, nil, func(p Path, v Value) {
			n++
			text := v.Text // none of them needs quotes
			g, err := f.Apply(Set(p, text))
			if assert.NoError(t, err, "%v %q", p, v.Text) {
				assert.Equal(t, string(data), string(g.Bytes()), "%v", p)
			}
		})
		assert.Greater(t, n, 50, name)
	}
}

func eachSingle(v Value, p Path, do func(Path, Value)) {
	p = p[:len(p):len(p)]
	switch v.Form {
	case Single:
		do(p, v)
	case Keyed:
		for _, e := range v.Keys {
			eachSingle(e.Value, append(p, Step{Key: e.Key}), do)
		}
	case List:
		for i, r := range v.Rows {
			eachSingle(r, append(p, Step{Row: i}), do)
		}
	}
}

// Whatever text is set, it is either read back as it was meant or refused.
func TestAnyTextIsReadBack(t *testing.T) {
	f := open(t, shop)
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		g, err := f.Apply(Set(At("name"), systemfile.Scalar(text)), Set(At("ducts", 0, "id"), systemfile.Scalar(text)))
		if err != nil {
			return
		}
		assert.Equal(t, text, g.Root.Get("name").Text)
		assert.Equal(t, text, g.Root.Get("ducts").Rows[0].Get("id").Text)
	})
}
