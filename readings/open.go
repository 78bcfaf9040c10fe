package readings

import (
	"fmt"
	"slices"
	"strings"
)

const (
	allGates = "all"
	noGate   = "none"
)

// String is how o is written in a readings file: "all", "none" or the ids
// joined with "+".
func (o Open) String() string {
	switch {
	case o.All:
		return allGates
	case len(o.Gates) == 0:
		return noGate
	}
	return strings.Join(o.Gates, "+")
}

// Opens says whether a gate is open.
func (o Open) Opens(gate string) bool { return o.All || slices.Contains(o.Gates, gate) }

// parseOpen reads the field "open". The error says what is wrong and what to
// do, as a fault.
func parseOpen(text string) (Open, *fault) {
	ids, bad := splitIDs(text, "gate")
	if bad != nil {
		return Open{}, bad
	}
	if len(ids) == 0 {
		return Open{}, &fault{"it is not said which gates are open", "write all, none, or gate ids joined with +"}
	}
	for _, id := range ids {
		word := strings.ToLower(id)
		if word != allGates && word != noGate {
			continue
		}
		if len(ids) > 1 {
			return Open{}, &fault{fmt.Sprintf("%s joins %q with other gates", quote(text), word), "write " + word + " alone, or only the gates' ids"}
		}
		return Open{All: word == allGates}, nil
	}
	return Open{Gates: ids}, nil
}

// parseHoseOff reads the field "hose_off": nothing or "none" for no hose.
func parseHoseOff(text string) ([]string, *fault) {
	ids, bad := splitIDs(text, "port")
	if bad != nil || len(ids) == 1 && strings.EqualFold(ids[0], noGate) {
		return nil, bad
	}
	for _, id := range ids {
		if strings.EqualFold(id, allGates) || strings.EqualFold(id, noGate) {
			return nil, &fault{fmt.Sprintf("%s is not a port", quote(id)), "write the ids of the ports whose hose is off, joined with +"}
		}
	}
	return ids, nil
}

// splitIDs gives the ids joined with "+" in text, sorted; none if text is
// empty. what names them in the fault.
func splitIDs(text, what string) ([]string, *fault) {
	if text == "" {
		return nil, nil
	}
	ids := strings.Split(text, "+")
	for i := range ids {
		if ids[i] = strings.TrimSpace(ids[i]); ids[i] == "" {
			return nil, &fault{fmt.Sprintf("%s lacks a %s before or after a +", quote(text), what), "join ids with one + between two of them"}
		}
	}
	slices.Sort(ids)
	for i := 1; i < len(ids); i++ {
		if ids[i] == ids[i-1] {
			return nil, &fault{fmt.Sprintf("%s names the %s %s twice", quote(text), what, quote(ids[i])), "name it once"}
		}
	}
	return ids, nil
}
