package round

import (
	"fmt"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/plan"
	"lostair/readings/units"
)

// TapSaid reads where a person says that a hole is: the id of a duct and how far from
// the duct's upstream end, as in "loft-run 1.2 m"; a bare number is in the system's unit.
// With from, the place that was asked for, the text may say the distance alone, or nothing.
func TapSaid(sys *duct.System, text string, from *plan.NewTap) (plan.NewTap, error) {
	text = strings.TrimSpace(text)
	var at plan.NewTap
	rest := text
	for i := range sys.Ducts { // the longest id that it begins with: one may begin like another
		id := sys.Ducts[i].ID
		if after, ok := strings.CutPrefix(text, id); ok && len(id) > len(at.Duct) && (after == "" || after[0] == ' ') {
			at.Duct, rest = id, strings.TrimSpace(after)
		}
	}
	if at.Duct == "" && from != nil {
		at = *from
	}
	switch {
	case at.Duct == "":
		return at, fmt.Errorf("say which duct the hole is in and how far from its far end, like %s %s", sys.Ducts[0].ID, units.Format(sys.Ducts[0].Length/2, units.Length, sys.Units))
	case rest == "" && from != nil && at.Duct == from.Duct:
		return *from, nil
	}
	v, err := units.Parse(rest, units.Length, sys.Units)
	if err != nil {
		return at, err
	}
	at.At = v.SI
	return at, nil
}
