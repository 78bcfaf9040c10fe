package screen

import (
	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
)

// Effects fills in the linear effect of each variant at its usual severity on each
// observation, of two surveys on those of when it is there.
func Effects(s *fit.Study, f *fit.Fit, list []*fault.Variant, out *mat.Dense) {
	p := s.Both()
	if p == nil {
		effects(s, f.At, f.Hypothesis, list, -1, out)
		return
	}
	for k, part := range p.S {
		at, h, _ := p.Part(k, f.At, f.Hypothesis)
		from := p.Row(k)
		effects(part, at, h, list, k, out.Slice(from, from+len(part.Observation), 0, len(list)).(*mat.Dense))
	}
}

// effects are those on one survey, the which-th of two or -1.
func effects(s *fit.Study, at fit.Point, h fit.Hypothesis, list []*fault.Variant, which int, out *mat.Dense) {
	s.SetCoefs(at, h.Faults)
	slopes := make([][]fault.Slope, len(list))
	for k, v := range list {
		if which < 0 || v.When.At(which) {
			slopes[k] = v.Deltas(&s.Coef)
		}
	}
	if s.PredictSet(at, h, make([]float64, len(s.Observation)), nil) != nil {
		return
	}
	for c, st := range s.States {
		if len(s.By[c]) == 0 {
			continue
		}
		st.Prepare()
		for _, i := range s.By[c] {
			st.Sensitivity(s.Observation[i].Probe, s.Grad)
			row := out.RawRowView(i)
			for k, sl := range slopes {
				for _, e := range sl {
					row[k] += *e.Slot.Of(&s.Grad.Coefs) * e.By
				}
			}
		}
	}
}
