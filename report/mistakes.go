package report

import (
	"cmp"
	"encoding/json"
	"slices"

	"lostair/diagnose/fault"
)

// MarshalJSON writes what may have been written down wrong in place of a fault with
// the faults that may stand in its place.
func (f Fault) MarshalJSON() ([]byte, error) {
	type plain Fault
	x := plain(f)
	x.Alike = append(slices.Clip(x.Alike), f.Mistakes...)
	return json.Marshal(x)
}

// UnmarshalJSON undoes MarshalJSON.
func (f *Fault) UnmarshalJSON(data []byte) error {
	type plain Fault
	var x plain
	if err := json.Unmarshal(data, &x); err != nil {
		return err
	}
	*f = Fault(x)
	mistake := func(c Candidate) bool { return fault.OfPage(c.Kind) }
	for _, c := range f.Alike {
		if mistake(c) {
			f.Mistakes = append(f.Mistakes, c)
		}
	}
	f.Alike = slices.DeleteFunc(f.Alike, mistake)
	return nil
}

// addMistakes gives each fault the entries of the page that look the same.
func (r *Result) addMistakes() {
	for i := range r.Faults {
		f := &r.Faults[i]
		for _, w := range r.Page {
			if slices.ContainsFunc(w.Alike, f.isOneOf) {
				f.Mistakes = append(f.Mistakes, Candidate{Kind: w.Kind, Where: w.Where, Probability: w.Probability, Name: w.Name})
			}
		}
		slices.SortStableFunc(f.Mistakes, func(a, b Candidate) int { return cmp.Compare(b.Probability, a.Probability) })
	}
}

// isOneOf says whether something is the fault, or one that it can't be told from.
func (f *Fault) isOneOf(a Alike) bool {
	is := func(c Candidate) bool { return c.Kind == a.Kind && c.Where == a.Where }
	return is(f.Candidate) || slices.ContainsFunc(f.Alike, is)
}
