package doubt

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/readings"
)

// Setup is what a diagnosis starts from.
type Setup struct {
	M      *airflow.Model
	U      *asbuilt.Unknowns
	L      fit.Layout
	Survey *observe.Bound
	Bases  []*observe.Bound
	Job    fault.Job
}

// WithDiameter is the survey on the system with one other diameter; nil if
// there is no such system.
func (x *Setup) WithDiameter(i int, d float64) (*observe.Bound, *airflow.Model) {
	sys := x.M.Sys.Copy()
	sys.Ducts[i].MakeRound(d)
	m, err := airflow.New(sys, airflow.Options{})
	if err != nil {
		return nil, nil
	}
	b, bad := observe.Bind(m, x.Survey.Survey)
	if bad.Err() != nil {
		return nil, nil
	}
	if x.Survey.Kept != nil {
		b = b.Only(x.Survey.Kept)
	}
	return b, m
}

// settingsRead are the settings of the gates in a survey, each once.
func (x *Setup) settingsRead() []readings.Open {
	var out []readings.Open
	seen := map[string]bool{}
	for _, o := range x.Survey.Observation {
		c := &x.Survey.Configs[o.Cfg]
		if k := c.Open.String(); !seen[k] {
			seen[k] = true
			out = append(out, c.Open)
		}
	}
	return out
}
