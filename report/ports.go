package report

import "lostair/report/show"

// State is how a port fares against its need.
type State uint8

const (
	NoNeed   State = iota // none stated
	Enough                // all of the interval reaches it
	Perhaps               // the interval holds it
	Crowded               // short, and in a sound system too, in a setting that is not in use
	ByDesign              // short, and short in a sound system too, in a setting in use
	Short                 // short, but not in a sound system
)

// State is how the port fares against its need.
func (p Port) State() State {
	switch {
	case p.Need == 0 || p.Flow == nil:
		return NoNeed
	case p.Flow.Low >= p.Need:
		return Enough
	case p.Flow.High >= p.Need:
		return Perhaps
	case p.Expected != nil && *p.Expected < p.Need && !p.InUse:
		return Crowded
	case p.Expected != nil && *p.Expected < p.Need:
		return ByDesign
	}
	return Short
}

// MostPorts is how many ports are shown in full; of more, those in need.
const MostPorts = 40

// FlowsHold says that the flows at the ports can be told: where the readings
// most likely mean something that is not among the explanations, they can't.
func (r *Result) FlowsHold() bool { return !r.Unfinished && r.Unlisted <= MostUnlisted }

// MostUnlisted is the chance of what is not among the explanations up to which they are shown.
const MostUnlisted = 0.5

// Untold says why nothing can be told from the readings; "" if something can.
func (r *Result) Untold() string {
	switch {
	case r.FlowsHold():
		return ""
	case r.Unfinished:
		return "It can't be said before the work is finished."
	case r.Instead != "":
		return "It can't be said until what is said above is cleared up."
	}
	return "It can't be said apart from readings that fit nothing that this program knows."
}

// IfSound is what a port would get in a sound system.
func IfSound(p Port) string {
	if p.Expected == nil {
		return "-"
	}
	return show.Shown(*p.Expected)
}

// Needed is what a machine needs, "-" if that is not stated.
func Needed(v float64) string {
	if v == 0 {
		return "-"
	}
	return show.Shown(v)
}

// ShortNow are the ports that fall short in a setting in use and would not in a
// sound system.
func (r *Result) ShortNow() []Port {
	var out []Port
	for _, x := range r.Ports {
		if x.InUse && x.State() == Short {
			out = append(out, x)
		}
	}
	return out
}
