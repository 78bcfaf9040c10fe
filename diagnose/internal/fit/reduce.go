package fit

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/branch"
	"lostair/diagnose/internal/numeric"
)

// A survey of a thousand readings is searched with all of them (search.SearchPlant).
// What was found is then fitted to those that tell of it, with others evenly
// spread that hold what all have in common: severities, flows and next readings
// are worked out with these. A large baseline is thinned before it is searched:
// all its readings are linearised once, and those are kept which tell most.
// Parameters that none of the kept readings depends on stay at their means; their
// spread is added back to what is said of flows.
const (
	ThinAbove   = 240  // readings up to which a survey is small
	ThinLinear  = 2000 // readings that are all searched with
	ThinRounds  = 10   // of taking away the likeliest explanation and looking again
	ThinLooks   = 24   // additions of a round whose readings are kept
	ThinWindow  = 8.0  // nats below a round's best within which they lie
	ThinTell    = 6    // readings kept for each
	ThinStrange = 2.5  // sigmas by which a reading is out that is kept for itself
	thinShare   = 0.01 // sigmas of a reading that a parameter must move to count
)

// Uses says which parameters some observations depend on; those of the survey
// itself and of its taps are used in any case.
func (s *Study) Uses(rows *branch.Rows, keep []int) []bool {
	use := make([]bool, s.N)
	for x := s.Own; x < s.N; x++ {
		use[x] = true
	}
	for _, x := range s.Taps {
		use[x] = true // a tap's own error is part of every reading there
	}
	for _, i := range keep {
		rows.Used(i, thinShare, func(x int) { use[x] = true })
	}
	return use
}

// Slim leaves out the parameters that no observation depends on. It gives the rows of
// derivatives by all parameters, and which of these are used; nil if that can't be solved.
func (s *Study) Slim() (rows *branch.Rows, use []bool) {
	if rows = s.SparseRows(); rows != nil {
		use = s.Uses(rows, numeric.Evenly(len(s.Observation), len(s.Observation)))
		s.Reduce(use)
	}
	return rows, use
}

// cut is the study's plant cut into branches.
func (s *Study) cut() *branch.Branches {
	if s.branches == nil {
		s.branches = branch.Cut(s.M, s.U, s.N, s.Observation)
	}
	return s.branches
}

// Within is the branch of a plant that a fault in a duct is of; -1: of none.
func (s *Study) Within(duct int) int32 { return s.cut().Within(s.M.Sys, duct) }

func (s *Study) newRows() *branch.Rows {
	sd := make([]float64, len(s.Observation))
	for i := range sd {
		sd[i] = math.Sqrt(s.BaseNoise(i))
	}
	return branch.NewRows(s.cut(), sd, len(s.States))
}

// SparseRows are the derivatives of all observations at the prior mean; nil if
// it can't be solved.
func (s *Study) SparseRows() *branch.Rows {
	rows := s.newRows()
	at := Point{Theta: s.Pr.Mean}
	bad := make([]bool, numeric.Workers)
	numeric.OnEachWorker(func(w int) {
		t := s.Twin()
		bad[w] = t.Predict(at, Hypothesis{}, make([]float64, len(s.Observation))) != nil
		if bad[w] {
			return
		}
		row := make([]float64, s.N)
		for c, st := range t.States {
			if len(s.By[c]) == 0 || c%numeric.Workers != w {
				continue
			}
			st.Prepare()
			for _, i := range s.By[c] {
				t.sparseRow(rows, t.Grad, at.Theta, &t.Observation[i], i, c, s.cut().Reading[i], row)
			}
		}
	})
	if slices.Contains(bad, true) {
		return nil
	}
	return rows
}

// Reduce leaves out parameters: they stay at their means, and lost is how the
// coefficients depend on them.
func (s *Study) Reduce(use []bool) {
	at := make([]int32, len(use))
	n := 0
	for x, u := range use {
		at[x] = -1
		if u {
			at[x] = int32(n)
			n++
		}
	}
	lost, kept := *s.U, *s.U
	lost.Parts, kept.Parts = slices.Clone(s.U.Parts), slices.Clone(s.U.Parts)
	for i := range kept.Parts {
		p, q := &kept.Parts[i], &lost.Parts[i]
		var e float64
		for k, x := range p.Ix {
			switch {
			case x < 0:
			case use[x]:
				p.Ix[k], q.Ix[k] = at[x], -1
			default:
				e += p.Sd[k] * s.Pr.Mean[x]
				p.Ix[k] = -1
			}
		}
		if p.Added {
			p.Base += e
		} else {
			p.Base *= math.Exp(min(max(e, -3), 3))
		}
	}
	kept.Pull()
	lost.Pull()
	s.All = s.N
	s.U, s.Lost = &kept, &lost
	for i := range s.Observation {
		o := &s.Observation[i]
		o.GainIx = int(at[o.GainIx])
		if o.TapIx >= 0 {
			o.TapIx = int(at[o.TapIx])
		}
		if o.AxisIx >= 0 {
			o.AxisIx = int(at[o.AxisIx])
		}
	}
	s.Day, s.Own = int(at[s.Day]), int(at[s.Own])
	taps := map[string]int{}
	for id, x := range s.Taps {
		if use[x] {
			taps[id] = int(at[x])
		}
	}
	s.Taps = taps
	mean := make([]float64, 0, n)
	for x, u := range use {
		if u {
			mean = append(mean, s.Pr.Mean[x])
		}
	}
	if s.Pr.V != nil {
		_, k := s.Pr.V.Dims()
		v := mat.NewDense(n, k, nil)
		for x, u := range use {
			if u {
				v.SetRow(int(at[x]), s.Pr.V.RawRowView(x))
			}
		}
		s.Pr.V = v
	}
	s.Pr.Mean, s.N, s.branches = mean, n, nil
}

// LeftOut is the variance that parameters left out give a reading.
func (s *Study) LeftOut(g *airflow.Gradient, row []float64) float64 {
	if s.Lost == nil {
		return 0
	}
	clear(row)
	s.Lost.Row(g, s.Vals, row)
	var v float64
	for _, x := range row {
		v += x * x
	}
	return v * s.PriorScale * s.PriorScale * s.Pr.Scale
}
