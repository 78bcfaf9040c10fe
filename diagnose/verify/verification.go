package verify

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/weigh"
)

// Verification works out the lines.
type Verification struct {
	p   *weigh.Posterior
	S   *fit.Study     // of the likeliest system, which may differ from the page
	all *observe.Bound // every reading, of which the study may have only some
	opt Options
	Out *Report

	written *airflow.Model // the system by its page

	Sets    []*fit.Fit
	weights []float64
	page    airflow.Coefs
	state   *airflow.State
	near    []*weigh.Conditioner       // of each of the sets, in order
	speeds  map[string]map[int]float64 // by setting and duct: velocity, m/s
	trunk   []bool                     // by duct: several ports draw through it
	Passes  [][]bool                   // by port and duct: the port's air passes it
	read    []bool                     // by port: the readings tell of it
	last    *outlook                   // of the setting last asked for
}

// Through lists the open ports whose air passes a duct, or the collector.
func (v *Verification) Through(open []bool, d int) []int {
	var out []int
	for i, ok := range open {
		if ok && (d < 0 || v.Passes[i][d]) {
			out = append(out, i)
		}
	}
	return out
}

// outlook is what could be read in a setting of the gates, under the likeliest set.
type outlook struct {
	cfg     airflow.Config
	st      *airflow.State
	list    []showable
	row, gz [][]float64 // derivatives of each
	spread  []float64   // variance of what would be read, as known now
}

// showable is a reading that could be taken.
type showable struct {
	Read  ToRead // in the setting that is asked about
	Probe airflow.Probe
	By    observe.Instrument
}

func key(c airflow.Config) string {
	b := make([]byte, len(c.Open))
	for i, o := range c.Open {
		b[i] = '0'
		if o {
			b[i] = '1'
		}
	}
	return string(b)
}
