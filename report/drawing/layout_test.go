package drawing

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
)

// anyTree draws a system of any shape: each duct flows into an earlier one.
func anyTree(t *rapid.T) *duct.System {
	n := rapid.IntRange(1, 60).Draw(t, "ducts")
	shape := rapid.IntRange(0, 3).Draw(t, "shape")
	s := &duct.System{}
	for i := range n {
		d := duct.Duct{ID: rapid.StringMatching(`[a-zA-ZäöüМ日 .<"-]{1,30}`).Draw(t, "id"), Into: duct.IntoCollector, Length: 2, Port: -1, Straight: rapid.Bool().Draw(t, "straight"),
			Diameter: rapid.Float64Range(0.03, 0.6).Draw(t, "diameter")}
		switch {
		case i == 0:
		case shape == 0: // a chain
			d.Into = i - 1
		case shape == 1: // a comb
			d.Into = (i - 1) / 2 * 2
		default:
			d.Into = rapid.IntRange(-1, i-1).Draw(t, "into")
		}
		if rapid.Bool().Draw(t, "gate") {
			d.Gate = "g"
		}
		if rapid.Bool().Draw(t, "tap") {
			d.Taps = []duct.Tap{{ID: "t", Distance: rapid.Float64Range(0, 2).Draw(t, "at")}}
		}
		if d.Into >= 0 {
			s.Ducts[d.Into].Children = append(s.Ducts[d.Into].Children, i)
		}
		s.Ducts = append(s.Ducts, d)
		s.Order = append(s.Order, i)
	}
	for i := range s.Ducts {
		if len(s.Ducts[i].Children) == 0 {
			s.Ducts[i].Port = len(s.Ports)
			s.Ports = append(s.Ports, duct.Port{ID: rapid.StringMatching(`.{1,40}`).Draw(t, "port"), Duct: i})
		}
	}
	s.Collector.Order = []duct.Part{duct.Cyclone, duct.Fan, duct.Filter}
	s.Collector.Bin = true
	return s
}

// extent is the room that a label takes up at most.
func extent(l Label) (x0, y0, x1, y1 float64) {
	size := map[string]float64{"trunk": 12, "port": 12, "duct": 10, "size": 10}[l.Class]
	if size == 0 {
		size = 11
	}
	w := size
	if strong(l.Class) {
		w *= boldness
	}
	return l.At.X, l.At.Y - 0.8*size, l.At.X + textWidth(l.Text, w), l.At.Y + 0.25*size
}

// Whatever the tree: every duct is drawn once, nothing leaves the page and no
// two labels meet.
func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyTree(t)
		notes := rapid.IntRange(0, 4).Draw(t, "notes")
		sh := Sheet{Sys: s, Wide: rapid.Bool().Draw(t, "wide"),
			Notes: func(d int) (out []Note) {
				for i := range notes {
					out = append(out, Note{Text: fmt.Sprint("a note of some length on duct number ", d, " line ", i, " and on it goes"), Class: "suspect"})
				}
				return out
			},
			Size:      func(int) string { return "⌀ 150 mm, 4.5 m" },
			Badges:    func(d int) []Badge { return []Badge{{"1", AtPort}, {"2", Along}, {"2", AtGate}}[:d%4] },
			Collector: []Note{{"fan-inlet as expected", "same"}, {"filter", "suspect"}},
		}
		d := Layout(sh)
		drawn := map[int]bool{}
		for _, p := range d.Pipes {
			if drawn[p.Duct] {
				t.Fatalf("duct %d is drawn twice", p.Duct)
			}
			drawn[p.Duct] = true
			for _, q := range p.Path {
				within(t, d, q)
			}
			for i := 1; i < len(p.Path); i++ {
				if p.Path[i].Y < p.Path[i-1].Y-1e-9 {
					t.Fatalf("duct %d runs back up: %v", p.Duct, p.Path)
				}
			}
		}
		if len(drawn) != len(s.Ducts) {
			t.Fatalf("%d of %d ducts are drawn", len(drawn), len(s.Ducts))
		}
		for _, m := range d.Marks {
			within(t, d, m.At)
		}
		apart(t, d)
		bandsHoldAll(t, d)
	})
}

func within(t *rapid.T, d *Drawing, p Point) {
	if p.X < 0 || p.X > d.Width || p.Y < 0 || p.Y > d.Height {
		t.Fatalf("%v is off the page of %v by %v", p, d.Width, d.Height)
	}
}

func apart(t *rapid.T, d *Drawing) {
	for i, a := range d.Labels {
		ax0, ay0, ax1, ay1 := extent(a)
		if ax1 > d.Width || ay1 > d.Height || ay0 < 0 {
			t.Fatalf("label %q leaves the page", a.Text)
		}
		for _, b := range d.Labels[i+1:] {
			bx0, by0, bx1, by1 := extent(b)
			if min(ax1, bx1)-max(ax0, bx0) > 0.01 && min(ay1, by1)-max(ay0, by0) > 0.01 {
				t.Fatalf("labels meet: %q at %v, %q at %v", a.Text, a.At, b.Text, b.At)
			}
		}
	}
}

// cutTo at rows, the bands hold each label once.
func bandsHoldAll(t *rapid.T, d *Drawing) {
	n, top := 0, 0.0
	for i, y := range append(d.Rows, d.Height) {
		if i%3 == 0 && y > top || y == d.Height {
			n += len(d.Band(top, y).Labels)
			top = y
		}
	}
	if n != len(d.Labels) {
		t.Fatalf("%d of %d labels are in a band", n, len(d.Labels))
	}
}

// Lanes stay few however deep the tree: a fishbone of mains that each turn off.
func TestLanesStayFew(t *testing.T) {
	s := &duct.System{}
	for i := range 4000 {
		d := duct.Duct{ID: "d", Into: i - 1, Diameter: 0.1, Length: 1, Port: -1}
		if i%2 == 1 { // a port beside each
			d.Into, d.Straight = i-1, true
		} else if i > 0 {
			d.Into = i - 2
		}
		if d.Into >= 0 {
			s.Ducts[d.Into].Children = append(s.Ducts[d.Into].Children, i)
		}
		s.Ducts = append(s.Ducts, d)
		s.Order = append(s.Order, i)
	}
	d := Layout(Sheet{Sys: s})
	assert.LessOrEqual(t, d.Lanes, int(math.Log2(4000))+1)
	assert.Len(t, d.Pipes, 4000)
}

func TestCut(t *testing.T) {
	assert.Equal(t, "saw", cutTo("saw", 10, 100))
	cut := cutTo("a very long name of a duct", 10, 60)
	assert.Contains(t, cut, "…")
	assert.LessOrEqual(t, textWidth(cut, 10), 60.0)
	assert.Empty(t, cutTo("saw", 10, 3))
	require.Greater(t, textWidth("日本", 10), textWidth("ab", 10))
}

// A gate is drawn at the end of its duct that it sits at, a bend per bend of the
// file, and a suspect gate's number on the gate.
func TestMarksStandWhereTheFileSays(t *testing.T) {
	const file = "units: metric\ncollector: {inlet: 150, fan: {curve: [[0, 2500], [2000, 1500]]}}\n" +
		"ducts:\n  - {id: main, into: collector, diameter: 150, length: 4, material: spiral, fittings: [{elbow: 90, radius: 1.5, count: 2}]}\n" +
		"  - {id: a, into: main, enters: straight, diameter: 125, length: 3, material: spiral, gate: up}\n" +
		"  - {id: b, into: main, enters: 45, diameter: 125, length: 3, material: spiral, gate: {id: down, at: downstream}}\n" +
		"ports:\n  - {id: pa, duct: a, hood: plain}\n  - {id: pb, duct: b, hood: plain}\n"
	s, problems := systemfile.Load([]byte(file), "shop.yaml")
	require.Empty(t, problems)
	d := Layout(Sheet{Sys: s, Wide: true, Badges: func(i int) []Badge {
		switch s.Ducts[i].Gate {
		case "down":
			return []Badge{{"1", AtGate}, {"1", Along}}
		case "up":
			return []Badge{{"2", AtPort}, {"3", AtGate}}
		}
		return nil
	}})
	at := map[string]float64{}
	bends := 0
	for _, m := range d.Marks {
		switch m.Kind {
		case GateMark:
			at[s.Ducts[m.Duct].Gate] = m.At.X
		case BadgeMark:
			at[fmt.Sprint(m.Text, m.Spot)] = m.At.X
		case BendMark:
			bends++
		}
	}
	require.Less(t, at["down"], at["up"]-50, "air runs to the left")
	require.InDelta(t, at["down"], at["11"], 1e-9, "a suspect gate's number is on the gate")
	require.Greater(t, at["10"], at["down"]+50, "what is along the duct stands apart from it")
	require.Greater(t, at["22"], at["up"], "a hood's number is at the port, not at the gate")
	require.InDelta(t, at["22"]-wide.badge-2, at["31"], 1e-9, "both are seen")
	require.Equal(t, 2, bends)
}

// An overview has every mark of the whole, and the ports that it folds are counted.
func TestFoldedKeepsWhatIsMarked(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anyTree(t)
		marks := rapid.SliceOfNDistinct(rapid.IntRange(0, len(s.Ducts)-1), 1, min(3, len(s.Ducts)), rapid.ID[int]).Draw(t, "marks")
		folded := 0
		over := Folded(s, func(d int) bool { return slices.Contains(marks, d) }, func(n int) string { folded += n; return fmt.Sprint(n, " ports folded") })
		d := Layout(Sheet{Sys: over, Wide: true, Badges: func(i int) []Badge {
			if slices.Contains(marks, i) {
				return []Badge{{Number: "1"}}
			}
			return nil
		}})
		drawn, ports := map[int]bool{}, 0
		for _, p := range d.Pipes {
			drawn[p.Duct] = true
			if over.Ducts[p.Duct].Port >= 0 {
				ports++
			}
		}
		for _, m := range marks {
			if !drawn[m] {
				t.Fatalf("marked duct %d is not drawn", m)
			}
		}
		if ports+folded != len(s.Ports) {
			t.Fatalf("%d ports drawn and %d folded, of %d", ports, folded, len(s.Ports))
		}
		apart(t, d)
	})
}
