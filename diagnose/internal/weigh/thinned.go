package weigh

import (
	"cmp"
	"math"
	"slices"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/readings"
)

// What was written is searched with all readings of a large survey, the world of a
// mistake with those that were kept. On these smaller sets fit too well, since most of
// what speaks against them was left out, and a mistake of next to nothing would seem to
// gain all that the search of the whole had found. So what leads in such a world is held
// to all readings before it counts.

const (
	heldMost   = 2   // sets of a world that are held to all readings
	heldWindow = 6.0 // nats below the best of them within which they lie
	rowStands  = 4.0 // standard deviations of its own errors within which a reading need not be set aside
)

// wholeWorld is the study of all readings as a mistake turns them; nil: there is none.
func wholeWorld(m *airflow.Model, survey *readings.Survey, j *search.Learned, r *doubt.Mistake, g *search.Search) *fit.Study {
	b, bad := observe.Bind(m, survey)
	if bad.Err() != nil {
		return nil
	}
	if kept := g.Whole.S.B.Kept; kept != nil {
		b = b.Only(kept)
	}
	s := fit.NewStudy(m, j.U, j.L, b, j.Shared)
	s.Slim()
	if r.Loosen != nil {
		r.Loosen(s)
	}
	s.PriorScale, s.NoiseScale, s.Stop = g.S.PriorScale, g.S.NoiseScale, g.S.Stop
	return s
}

// onAll is by how much the sets of a mistake's world weigh more on all readings, in the
// scores of what was carried over, than on those kept; −∞ if none of the leading ones fits.
// Where what was written is far off, it is no place to start from alone.
func onAll(s *fit.Study, g, n *search.Search, r *doubt.Mistake) float64 {
	if s == nil {
		return math.Inf(-1)
	}
	list := slices.Clone(n.All)
	slices.SortStableFunc(list, func(a, b *fit.Fit) int { return cmp.Compare(b.Score(), a.Score()) })
	start := g.Whole.Lead.At
	if len(start.Theta) != s.N {
		start = s.Before()
	}
	rows := aside(s, g.Whole.Lead.Rows)
	scores := []float64{math.Inf(-1)}
	for _, f := range list[:min(len(list), heldMost)] {
		if f.Score() < list[0].Score()-heldWindow {
			break
		}
		start.Z = f.At.Z
		x := s.Fit(fit.Hypothesis{Faults: f.Faults, Rows: rows}, start)
		if r.Sure || !x.Ok() {
			if y := s.Afresh(x.Hypothesis); y.Score() > x.Score() {
				x = y
			}
		}
		if less := stillOut(s, x, rows); x.Ok() && len(less) < len(rows) {
			if y := s.Fit(fit.Hypothesis{Faults: f.Faults, Rows: less}, x.At); y.Ok() {
				if y.Evidence+priorOfRows(less) > x.Evidence+priorOfRows(rows) {
					x = y
				}
			}
		}
		x.Prior = doubt.PriorOf(n, f.Faults) + priorOfRows(x.Rows)
		scores = append(scores, x.Score()+g.Whole.Shift)
	}
	return numeric.LogSumExp(scores) + r.LogOn(g.Whole.S.B) - totalOf(n.All) - r.Log
}

// aside are rows taken for wrong, left out.
func aside(s *fit.Study, rows []*fit.Wrong) []*fit.Wrong {
	var out []*fit.Wrong
	for _, w := range rows {
		o := search.Dropped(s, w.Observation)
		o.Prior = w.Prior
		out = append(out, o)
	}
	return out
}

func priorOfRows(rows []*fit.Wrong) float64 {
	var p float64
	for _, w := range rows {
		p += math.Log(w.Prior)
	}
	return p
}

// stillOut are those of the rows set aside that a fit without them does not explain.
func stillOut(s *fit.Study, f *fit.Fit, rows []*fit.Wrong) []*fit.Wrong {
	if !f.Ok() || f.Fit == nil {
		return rows
	}
	var out []*fit.Wrong
	for _, w := range rows {
		i := w.Observation
		if far := math.Abs(s.Observation[i].Y - f.Fit.H[i]); far > rowStands*s.NoiseScale*math.Sqrt(s.BaseNoise(i)) {
			out = append(out, w)
		}
	}
	return out
}

// totalOf is the log of what some sets weigh.
func totalOf(list []*fit.Fit) float64 {
	scores := make([]float64, len(list))
	for i, f := range list {
		scores[i] = f.Score()
	}
	return numeric.LogSumExp(scores)
}
