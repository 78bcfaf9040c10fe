package weigh

import (
	"math"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/doubt"
)

// DataErrorDoubts says what to look at, of the explanations that weigh enough. Beside
// faults it also names what the readings do not rule out, however unlikely it was
// before they were taken: a look can.
func (p *Posterior) DataErrorDoubts(faults bool) []fault.Doubt {
	all, best := doubt.Total(p.Setup), doubt.ReadingsAlone(p.Sets[0])
	var out []fault.Doubt
	said := map[fault.Doubt]bool{}
	for _, x := range p.Setup {
		weighs := p.share(x, all) >= 0.1 || faults && x.Soon && x.Fits > best-besideFaultNats
		if x.Doubt.Kind == fault.NoDoubt || said[x.Doubt] || !weighs {
			continue
		}
		said[x.Doubt] = true
		out = append(out, x.Doubt)
	}
	return out
}

// share is what an explanation has of all probability; all of them together
// weigh so much.
func (p *Posterior) share(x doubt.DataError, all float64) float64 {
	return p.Unlisted * math.Exp(x.Score-all)
}

// Instead is the explanation other than faults that is likelier than all else together.
func (p *Posterior) Instead() fault.Doubt {
	all, weight := doubt.Total(p.Setup), map[fault.Doubt]float64{}
	for _, x := range p.Setup {
		if weight[x.Doubt] += p.share(x, all); x.Doubt.Kind != fault.NoDoubt && weight[x.Doubt] > 0.5 {
			return x.Doubt
		}
	}
	return fault.Doubt{}
}

// besideFaultNats is by how many nats an explanation may fit the readings worse than the
// best and not be ruled out by them: a factor of ten. Common practice, no source.
const besideFaultNats = 2.3
