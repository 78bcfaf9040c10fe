package report

import (
	"fmt"

	"lostair/report/layout"
)

// state is how a port fares against its need.
type state uint8

const (
	noNeed   state = iota // none stated
	enough                // all of the interval reaches it
	perhaps               // the interval holds it
	byDesign              // short, and short in a sound system too
	short                 // short, but not in a sound system
)

var stateWords = [...]string{noNeed: "", enough: "enough", perhaps: "may be short", byDesign: "SHORT by design", short: "SHORT"}

func (p Port) state() state {
	switch {
	case p.Need == 0 || p.Flow == nil:
		return noNeed
	case p.Flow.Low >= p.Need:
		return enough
	case p.Flow.High >= p.Need:
		return perhaps
	case p.Expected != nil && *p.Expected < p.Need:
		return byDesign
	}
	return short
}

// mostPorts is how many rows are shown in full; of more, those in need.
const mostPorts = 40

// flowsHold says that the flows at the ports can be told: where the readings
// most likely mean something that is not among the explanations, they can't.
func (r *Result) flowsHold() bool { return r.Unlisted <= 0.5 }

// untold says why nothing can be told from the readings; "" if something can.
func (r *Result) untold() string {
	switch {
	case r.flowsHold():
		return ""
	case r.Instead != "":
		return "It can't be told until what is said above is cleared up."
	}
	return "It can't be told from readings that fit nothing that this program knows."
}

// ports shows the flow at each port.
func (p *page) ports(r *Result) {
	if len(r.Ports) == 0 {
		return
	}
	if !r.flowsHold() {
		p.heading("Air at the ports")
		p.para("", r.untold(), plainText)
		return
	}
	rows, left := r.Ports, 0
	if len(rows) > mostPorts {
		rows = inNeed(r.Ports)
		left = len(r.Ports) - len(rows)
	}
	p.heading("Air at the ports" + inUnitOf(r.Ports))
	if len(rows) > 0 {
		p.portTable(rows)
	}
	if left > 0 {
		p.para("", fmt.Sprintf("%d more ports get enough, or state no need.", left), plainText)
	}
	p.portNotes(rows)
}

func inUnitOf(ports []Port) string {
	for _, x := range ports {
		if x.Flow != nil {
			return ", in " + x.Flow.Unit
		}
	}
	return ""
}

func inNeed(ports []Port) []Port {
	var out []Port
	for _, x := range ports {
		if x.state() > enough {
			out = append(out, x)
		}
	}
	return out
}

func (p *page) portTable(rows []Port) {
	t := layout.Table{Columns: []layout.Column{{Head: "port", Least: 8}, {Head: "gates open", Least: 8}, {Head: "now", Right: true},
		{Head: "9 in 10 sure", Right: true}, {Head: "if sound", Right: true}, {Head: "need", Right: true}, {Head: "", Least: 8}}}
	for _, x := range rows {
		now, span := "-", ""
		if x.Flow != nil {
			now, span = x.Flow.mid(), x.Flow.span()
		}
		t.Rows = append(t.Rows, []string{x.Port, briefly(x.Open), now, span, sound(x), needed(x.Need), stateWords[x.state()]})
	}
	p.table("", t, func(row, column int) string {
		if column != len(t.Columns)-1 {
			return plainText
		}
		return stateColor(rows[row].state())
	})
}

// sound is what a port would get in a sound system.
func sound(p Port) string {
	if p.Expected == nil {
		return "-"
	}
	return shown(*p.Expected)
}

func stateColor(s state) string {
	switch s {
	case short:
		return bad
	case enough:
		return good
	}
	return doubtful
}

// portNotes explains the marks that stand in the table.
func (p *page) portNotes(rows []Port) {
	for _, x := range rows {
		if x.state() == byDesign {
			p.para("", "SHORT by design: a sound system would not give enough in this setting of the gates either. With several gates open the ports share what the fan moves.", plainText)
			return
		}
	}
}
