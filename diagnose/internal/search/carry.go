package search

import "lostair/diagnose/internal/fit"

// Dropped says whether a search was not worth going on with after its first fits.
func (g *Search) Dropped() bool { return g.dropped }

// Under are the factors that a search ended under.
func (g *Search) Under() Scale { return g.scale }

// RowLike is the wrong row of this search that one of another is: wrong in the
// same way or, failing that, set aside; nil if there is none.
func (g *Search) RowLike(w *fit.Wrong) *fit.Wrong {
	var aside *fit.Wrong
	for _, o := range g.rows {
		if o.Observation != w.Observation {
			continue
		}
		if o.Drop == w.Drop && o.Reason == w.Reason && o.Cfg == w.Cfg {
			return o
		}
		if o.Drop {
			aside = o
		}
	}
	return aside
}
