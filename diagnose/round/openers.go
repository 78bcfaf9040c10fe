package round

import (
	"slices"

	"lostair/diagnose/internal/settings"
	"lostair/readings"
	"lostair/readings/units"
)

// openers are the first questions, which the complaint asks, as far as they have
// not been answered.
func (r *Round) openers() []Question {
	var list []Question
	switch r.Complaint.Kind {
	case WeakPort:
		list = r.atPort()
	case AllWeak:
		list = r.atCollector()
	default:
		return nil // the planned round
	}
	var out []Question
	for _, q := range list {
		if !r.read(&q.Row) && !r.leftOut(&q.Row) {
			out = append(out, q)
		}
	}
	return out
}

// atPort asks for the air of the port that is said to be weak, and for the suction
// on its way.
func (r *Round) atPort() []Question {
	p, ok := r.System.PortNamed(r.Complaint.Port)
	if !ok {
		return nil
	}
	open := settings.OpenOf(r.System.Nearest(p))
	if len(r.System.GatesOf(p)) == 0 && len(r.System.Settings) == 0 {
		open = readings.Open{All: true}
	}
	out := []Question{r.reading(open, r.System.Ports[p].ID, units.MeanVelocity, AirOfPort)}
	return append(out, r.reading(open, r.tapToward(p), units.StaticPressure, SuctionAtPort))
}

// Missed is the port that is said to be weak, if neither its air nor the suction on its
// way was read, with whatever gates open; else "".
func (r *Round) Missed() string {
	if r.Complaint.Kind != WeakPort {
		return ""
	}
	for _, q := range r.atPort() {
		if slices.ContainsFunc(r.Survey.Rows, func(x readings.Row) bool { return x.Point == q.Row.Point }) {
			return ""
		}
	}
	return r.Complaint.Port
}

// tapToward is the tap nearest a port that only it breathes through, else the
// collector's inlet.
func (r *Round) tapToward(port int) string {
	for d := r.System.Ports[port].Duct; d >= 0 && len(r.System.Ducts[d].Children) < 2; d = r.System.Ducts[d].Into {
		if t := r.System.Ducts[d].Taps; len(t) > 0 {
			return t[0].ID
		}
	}
	return r.collectorTap()
}

// collectorTap is the tap nearest the collector, else its inlet.
func (r *Round) collectorTap() string {
	for i := range r.System.Ducts {
		if d := &r.System.Ducts[i]; d.Into < 0 && len(d.Taps) > 0 {
			return d.Taps[len(d.Taps)-1].ID
		}
	}
	return readings.CollectorInlet
}

// atCollector asks what all ports share: the fan, the filter and the main.
func (r *Round) atCollector() []Question {
	tap, loaded := r.collectorTap(), settings.OpenOf(r.System.Together()[0])
	return []Question{
		r.reading(readings.Open{}, tap, units.StaticPressure, CollectorShut),
		r.reading(loaded, tap, units.StaticPressure, CollectorLoaded),
		r.reading(loaded, readings.Filter, units.PressureDrop, FilterDrop),
	}
}

// unread asks what was planned and has not been read.
func (r *Round) unread() []Question {
	var out []Question
	for i := range r.Planned {
		if x := &r.Planned[i]; !r.read(x) && !r.leftOut(x) {
			out = append(out, r.reading(x.Open, x.Point, x.Quantity, Planned))
		}
	}
	return out
}
