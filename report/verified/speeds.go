package verified

import "math"

// settingSpeeds gathers the velocities of one setting of the gates.
type settingSpeeds struct {
	open               string
	pass, fail, unsure int
	slow               []Line // that fail or are not shown, slowest against its limit first
}

func (v *Verification) speeds() []settingSpeeds {
	var out []settingSpeeds
	at := map[string]int{}
	for _, l := range v.of("carrying") {
		i, ok := at[l.Open]
		if !ok {
			i = len(out)
			at[l.Open] = i
			out = append(out, settingSpeeds{open: l.Open})
		}
		s := &out[i]
		switch l.Outcome {
		case "pass":
			s.pass++
			continue
		case "fail":
			s.fail++
		default:
			s.unsure++
		}
		s.slow = append(s.slow, l)
	}
	return out
}

// outcome is that of all ducts together.
func (s *settingSpeeds) outcome() string {
	switch {
	case s.fail > 0:
		return "fail"
	case s.unsure > 0:
		return "not shown"
	}
	return "pass"
}

// worst is the slowest air as a share of what it must be.
func (s *settingSpeeds) worst() float64 {
	out := math.Inf(1)
	for _, l := range s.slow {
		out = math.Min(out, l.Value.Value/l.Least)
	}
	return out
}
