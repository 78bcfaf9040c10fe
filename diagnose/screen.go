package diagnose

import (
	"math"
	"sort"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/mat"
)

// idea is a hypothesis that looks worth fitting, with what it should score.
type idea struct {
	hypothesis
	from  *fitted
	score float64
	prior float64
	key   string
}

// screen estimates for every single addition to a fitted hypothesis what it
// would gain: exactly solved at a typical severity, linear in its amplitude.
func (s *study) screen(f *fitted, ss []*site, rows []*wrong) []idea {
	var out []idea
	used := map[int]bool{}
	for _, v := range f.faults {
		used[v.site] = true
	}
	m := len(s.obs)
	h := make([]float64, m)
	d, sd := mat.NewVecDense(m, nil), mat.NewVecDense(m, nil)
	for si, st := range ss {
		if used[si] || st.prior <= 0 {
			continue
		}
		for _, v := range st.variants {
			hy := hypothesis{append(append([]*variant(nil), f.faults...), v), f.rows}
			p := point{f.at.theta, append(append([]float64(nil), f.at.z...), severities[v.kind].mean)}
			if s.predict(p, hy, h) != nil {
				continue
			}
			for i := range h {
				d.SetVec(i, h[i]-f.fit.h[i])
			}
			if f.fit.chol.SolveVecTo(sd, d) != nil {
				continue
			}
			prior := f.prior + logOdds(st.prior) + math.Log(v.weight)
			gain := amplitudeGain(mat.Dot(d, f.fit.alpha), mat.Dot(d, sd))
			out = append(out, idea{hypothesis: hy, from: f, prior: prior, score: f.evidence + prior + gain})
		}
	}
	s.predict(f.at, f.hypothesis, h) // leave the states where they were
	return append(out, s.screenRows(f, rows)...)
}

func logOdds(p float64) float64 { return math.Log(p / (1 - p)) }

// amplitudeGain is the log Bayes factor for adding a·d to the expectation with
// a ~ N(1, τ²), where g = dᵀS⁻¹r and w = dᵀS⁻¹d.
func amplitudeGain(g, w float64) float64 {
	const tau2 = 0.8 * 0.8
	b := g + 1/tau2
	if b <= 0 {
		b = 0
	}
	return 0.5*b*b/(w+1/tau2) - 0.5/tau2 - 0.5*math.Log(1+w*tau2)
}

// screenRows does the same for wrong rows; the change of one observation has
// its gain in closed form.
func (s *study) screenRows(f *fitted, rows []*wrong) []idea {
	if len(rows) == 0 {
		return nil
	}
	var inv mat.SymDense
	if f.fit.chol.InverseTo(&inv) != nil {
		return nil
	}
	taken := map[int]bool{}
	for _, w := range f.rows {
		taken[w.obs] = true
	}
	var out []idea
	for _, w := range rows {
		if taken[w.obs] {
			continue
		}
		i := w.obs
		a, q := f.fit.alpha.AtVec(i), inv.At(i, i)
		var gain float64
		switch {
		case w.drop:
			gain = 0.5*a*a/q - 0.5*math.Log(q) + 0.5*math.Log(2*math.Pi) + w.log
		default:
			y := w.y
			if w.cfg >= 0 {
				// a change of the expectation is a change of the observation the other way
				y = f.fit.y[i] - (s.elsewhere(f.at, w) - f.fit.h[i])
			}
			dy := y - f.fit.y[i]
			gain = -dy*a - 0.5*dy*dy*q + w.log
		}
		if math.IsNaN(gain) {
			continue
		}
		prior := f.prior + math.Log(w.prior)
		hy := hypothesis{f.faults, append(append([]*wrong(nil), f.rows...), w)}
		out = append(out, idea{hypothesis: hy, from: f, prior: prior, score: f.evidence + prior + gain})
	}
	return out
}

// keys gives each hypothesis one name whatever the order it was grown in.
func keyOf(h hypothesis, vid map[*variant]int, wid map[*wrong]int) string {
	var a []int
	for _, v := range h.faults {
		a = append(a, vid[v])
	}
	sort.Ints(a)
	var b []int
	for _, w := range h.rows {
		b = append(b, wid[w])
	}
	sort.Ints(b)
	var sb strings.Builder
	for _, x := range a {
		sb.WriteString(strconv.Itoa(x))
		sb.WriteByte(',')
	}
	sb.WriteByte('|')
	for _, x := range b {
		sb.WriteString(strconv.Itoa(x))
		sb.WriteByte(',')
	}
	return sb.String()
}
