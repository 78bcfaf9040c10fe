package whatif

import (
	"slices"
	"sort"
	"strings"

	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/units"
)

// Setting is one change.
type Setting struct {
	Key           string // as it is written: "planer-drop.diameter", "filter"
	Before, After Amount // Before is the zero Amount of what the file doesn't have
}

// Faulty says whether a key sets something that a sound system does not have.
func (s Setting) Faulty() bool {
	_, name, _ := cutLast(s.Key)
	switch name {
	case "leak", "blockage", "travel", "filter", "cyclone", "fan":
		return true
	}
	return false
}

func cutLast(s string) (before, after string, ok bool) {
	i := strings.LastIndex(s, ".")
	if i < 0 {
		return "", s, false
	}
	return s[:i], s[i+1:], true
}

// Amount is what something is set to: a name, such as a material's, or an amount,
// which whoever shows it puts into the reader's units.
type Amount struct {
	Name      string // before an amount: what it is of
	SI        float64
	Dimension units.Dimension
	Measured  bool // there is an amount
}

func called(name string) Amount { return Amount{Name: name} }

func amountOf(si float64, d units.Dimension) Amount {
	return Amount{SI: si, Dimension: d, Measured: true}
}

// Edit is a system being changed, and what changes in its coefficients.
type Edit struct {
	Sys     *duct.System
	changes []func(*airflow.Model, *airflow.Coefs)
	holed   []int // ducts with a hole halfway along
}

// halve puts a tap halfway along each duct with a hole there, as the model has
// air come in at its taps and at the ends of ducts only. Lengths are what they
// will be.
func (e *Edit) halve() {
	for _, i := range e.holed {
		d := &e.Sys.Ducts[i]
		half := d.Length / 2
		if half > 0 && !slices.ContainsFunc(d.Taps, func(t duct.Tap) bool { return t.Distance == half }) {
			d.Taps = append(d.Taps, duct.Tap{ID: e.free("halfway-along-" + d.ID), Distance: half})
		}
	}
}

// free is an id like one, that no point of the system has.
func (e *Edit) free(id string) string {
	taken := func() bool {
		_, _, tap := e.Sys.TapAt(id)
		_, port := e.Sys.PortNamed(id)
		_, of := e.Sys.DuctNamed(id)
		return tap || port || of
	}
	for taken() {
		id += "-"
	}
	return id
}

// Coefs makes the changes that are of how the system was built, not of its page.
func (e *Edit) Coefs(m *airflow.Model, c *airflow.Coefs) {
	for _, f := range e.changes {
		f(m, c)
	}
}

// names are all ids that a change may name.
func (e *Edit) names() []string {
	out := []string{"air", "collector", readings.Bin}
	for _, d := range e.Sys.Ducts {
		out = append(out, d.ID)
	}
	for _, p := range e.Sys.Ports {
		out = append(out, p.ID)
	}
	for _, x := range e.Sys.Machines {
		out = append(out, x.ID)
	}
	out = append(out, e.Sys.Gates()...)
	sort.Strings(out)
	return out
}

// shortly is so much of a text as a message has room for.
func shortly(text string) string {
	if r := []rune(text); len(r) > mostSaid {
		return string(r[:mostSaid]) + "…"
	}
	return text
}

// mostSaid is how many characters of a change a message repeats.
const mostSaid = 80

// refusal is why a change can't be made, and what to write.
type refusal struct{ what, do string }

func (r refusal) Error() string { return r.what + "; " + r.do }
