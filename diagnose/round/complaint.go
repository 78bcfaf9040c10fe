package round

import (
	"fmt"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/readings"
)

// Complaint is what a round begins with.
type Complaint struct {
	Kind ComplaintKind
	Port string // of WeakPort
}

// ComplaintKind is a sort of complaint.
type ComplaintKind uint8

// The sorts of complaint.
const (
	AllWeak ComplaintKind = iota
	WeakPort
	NewInstall
	Monthly
	AfterRepair
)

var complaintWords = [...]string{AllWeak: "everything is weak", WeakPort: "weak at ", NewInstall: readings.ForNewInstall, Monthly: readings.ForMonth, AfterRepair: readings.ForRepair}

// looksAround is whether nobody complains of anything: then what tells most is read.
func (c Complaint) looksAround() bool {
	return c.Kind == NewInstall || c.Kind == Monthly || c.Kind == AfterRepair
}

// job is what that says of how much is wrong.
func (c Complaint) job() fault.Job {
	if c.Kind == Monthly {
		return fault.Checked
	}
	return fault.InUse
}

// String is how a complaint is written down.
func (c Complaint) String() string { return complaintWords[c.Kind] + c.Port }

// Complaints lists the complaints of a system, its ports first.
func Complaints(sys *duct.System) []Complaint {
	var out []Complaint
	for i := range sys.Ports {
		out = append(out, Complaint{WeakPort, sys.Ports[i].ID})
	}
	for _, k := range []ComplaintKind{AllWeak, NewInstall, Monthly, AfterRepair} {
		out = append(out, Complaint{Kind: k})
	}
	return out
}

// ParseComplaint reads what String wrote, or the id of a port.
func ParseComplaint(sys *duct.System, text string) (Complaint, error) {
	text = strings.TrimSuffix(strings.TrimSpace(text), ".")
	for _, c := range Complaints(sys) {
		if strings.EqualFold(text, c.String()) || c.Kind == WeakPort && text == c.Port {
			return c, nil
		}
	}
	var names []string
	for _, c := range Complaints(sys) {
		names = append(names, c.String())
	}
	return Complaint{}, fmt.Errorf("there is no complaint %q; say one of: %s", text, strings.Join(names, ", "))
}
