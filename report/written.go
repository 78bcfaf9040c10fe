package report

import (
	"fmt"

	"lostair/diagnose/fault"
	"lostair/readings/units"
	"lostair/report/finding"
	"lostair/report/show"
)

func (c Converter) written(w fault.Written) Written {
	out := Written{Kind: w.Kind.String(), Where: w.Where, Probability: show.Probability(w.Probability), Together: max(show.Probability(w.Together), show.Probability(w.Probability)),
		Alike: []Alike{}, Measured: w.Reason == fault.ByMeasure, Name: c.Mistake(w), Look: finding.Look(w)}
	switch {
	case w.Kind != fault.GateSetting:
	case w.Stood:
		out.Stood = "open"
	default:
		out.Stood = "shut"
	}
	if w.Kind == fault.GateSetting && !w.Always {
		out.Open = w.Open.String()
	}
	if s := w.Says; s != nil && s.Value != 0 {
		a := c.Measure(*s)
		out.Says = &a
	}
	if b := w.Behaves; b != nil {
		out.Behaves = &MeasureBetween{Measure: c.Measure(*b), Low: show.Value(b.Low, b.Dimension, c.U), High: show.Value(b.High, b.Dimension, c.U)}
	}
	if f := w.Factor; f != nil {
		out.Factor = &show.Between{Value: show.Significant(f.Value), Low: show.Significant(f.Low), High: show.Significant(f.High)}
	}
	if w.Offset != nil {
		out.Offset = show.IntervalOf(*w.Offset, units.Pressure, c.U)
	}
	for _, a := range w.Alike {
		out.Alike = append(out.Alike, Alike{a.Kind.String(), a.Where, show.Probability(a.Probability), c.Mistake(a)})
	}
	for _, f := range w.Faults {
		x := c.Candidate(f)
		out.Alike = append(out.Alike, Alike{x.Kind, x.Where, x.Probability, x.Name})
	}
	return out
}

// Sentences say what of the page readings contradict, likeliest first, and what
// settles it; none that is less likely than one in ten, and none that was measured,
// which is said of its row.
func (r *Result) Sentences() []string {
	var out []string
	for _, w := range r.Page {
		if w.Probability >= sentenceLeast && !w.Measured && len(out) < mostWritten {
			out = append(out, fmt.Sprintf("%s (%s, %s): %s", w.Name, show.Chance(w.Probability), show.Percent(w.Probability), w.Look))
		}
	}
	return out
}

const sentenceLeast = 0.1

// WrittenWrong are what was written down wrong that is likelier than not, alone
// or, the likeliest, with what looks the same.
func (r *Result) WrittenWrong() []Written {
	var out []Written
	for i, w := range r.Page {
		if r.writtenWrong(i) {
			out = append(out, w)
		}
	}
	return out
}

func (r *Result) writtenWrong(i int) bool {
	w := r.Page[i]
	return w.Probability >= assertedWritten || i == 0 && w.Together >= assertedWritten && !w.likelierFault()
}

// likelierFault says whether a fault that looks the same is likelier.
func (w Written) likelierFault() bool {
	for _, a := range w.Alike {
		if a.Probability > w.Probability {
			return true
		}
	}
	return false
}

// WrittenDown is what to say about what was written down, likeliest first: what is
// likelier than not with what looks the same, or the rest of what is worth a look.
func (r *Result) WrittenDown(likely bool) []Written {
	var out []Written
	n := 0
	for i, w := range r.Page {
		wrong := r.writtenWrong(i)
		if n < mostWritten && (wrong || w.besideFault() || w.Probability >= writtenLeast && !w.agrees()) {
			n++
			if wrong == likely {
				out = append(out, w)
			}
		}
	}
	return out
}

// agrees says that what the readings are like may well be what was written: then
// there is nothing to tell.
func (w *Written) agrees() bool {
	b := w.Behaves
	switch {
	case b == nil:
		return false
	case w.Says != nil:
		return b.Low <= w.Says.Value && w.Says.Value <= b.High
	}
	return b.Quantity == "losses" && b.Low <= 1 && 1 <= b.High
}

// Told is a line about what was written down.
func (w Written) Told() string {
	return fmt.Sprintf("%s: %s, %s", show.Title(w.Name), show.Chance(w.Probability), show.Percent(w.Probability))
}

const mostWritten = 6

// How likely an entry of the page must be to be shown: by itself, and as what looks
// the same as a fault that is asserted.
const (
	writtenLeast    = 0.05
	writtenAlike    = 0.02
	assertedWritten = 0.5
)

// besideFault is whether readings can't tell it from faults that together are
// likelier than not.
func (w *Written) besideFault() bool {
	return w.Probability >= writtenAlike && w.Together >= assertedWritten && w.anyFault()
}

func (w *Written) anyFault() bool {
	for _, a := range w.Alike {
		if genus(a.Kind) != "" {
			return true
		}
	}
	return false
}

// wrongPage is what was written down wrong, as a sentence of a summary without
// its full stop; "" if nothing is likelier than not.
func wrongPage(r *Result) string {
	list := r.WrittenWrong()
	if len(list) == 0 {
		return ""
	}
	names := show.Each(list[:min(len(list), 2)], Written.orAlike)
	return "What was written down is not what was: " + show.Listed(names) + ": " + list[0].Look
}

// orAlike names it, or the two likeliest of what looks the same.
func (w Written) orAlike() string {
	s := fmt.Sprintf("%s (%s)", w.Name, show.Percent(w.Probability))
	if w.Probability < 0.5 && len(w.Alike) > 0 {
		s += fmt.Sprintf(" or %s (%s)", w.Alike[0].Name, show.Percent(w.Alike[0].Probability))
	}
	return s
}

func writtenWords(r *Result) string {
	s := wrongPage(r)
	if s == "" {
		return ""
	}
	return s + "."
}
