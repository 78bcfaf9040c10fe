package fault

import (
	"fmt"

	"lostair/readings/units"
)

// Kind is a kind of fault, by the names of the result.
type Kind uint8

// The kinds, in an order that holds: those that are searched for come first, and
// tables by kind (KindShare, NewShare, Severities) end with the last of them. A new
// one of these stands before Undersized, and lastSearched moves on to it; results are
// kept by name, so none is tied to a number.
const (
	Leak Kind = iota
	Blockage
	GateRestricted
	GateLeaking
	FilterLoaded
	FanWeak
	Undersized
	ReadingWrong
	// Altered is a duct whose losses are not what they were: no fault of the list,
	// but what stands in the place of one. Between a baseline and a survey a hose is
	// laid otherwise, a bend put in or taken out, a lining roughens. Without it a
	// change by half in two ducts gave a sound system a sure leak, blockage or loaded
	// filter in 7 of 12 cases.
	Altered
	kindsEnd

	lastSearched = FanWeak
)

// kindRow is what is fixed about a kind of fault.
type kindRow struct {
	name string
	dim  units.Dimension
	what string
}

var kinds = [...]kindRow{
	Leak:           {"leak", units.Area, "open area of the hole"},
	Blockage:       {"blockage", units.Share, "share of the bore closed"},
	GateRestricted: {"gate-restricted", units.Share, "share of its travel that is open"},
	GateLeaking:    {"gate-leaking", units.Area, "open area left when it is shut"},
	FilterLoaded:   {"filter-loaded", units.Multiple, "drop as a multiple of the clean drop"},
	FanWeak:        {"fan-weak", units.Share, "running speed as share of the curve's"},
	Undersized:     {"undersized", units.Diameter, "diameter that would do"},
	ReadingWrong:   {"reading-wrong", units.Number, "value that would fit"},
	Altered:        {"altered", units.Multiple, "losses as a multiple of what they were"},
}

// String is the kind's name in the result.
func (k Kind) String() string { return kinds[k].name }

// MarshalText writes a kind by its name: a saved result outlives the order of the kinds.
func (k Kind) MarshalText() ([]byte, error) {
	if k >= kindsEnd {
		return nil, fmt.Errorf("there is no fault kind %d", k)
	}
	return []byte(k.String()), nil
}

// UnmarshalText reads a kind by its name. An unknown name is an error.
func (k *Kind) UnmarshalText(name []byte) error {
	for _, x := range Kinds() {
		if x.String() == string(name) {
			*k = x
			return nil
		}
	}
	return fmt.Errorf("there is no fault kind %q", name)
}

// Dimension is that of the kind's severity; a wrong reading has its quantity's.
func (k Kind) Dimension() units.Dimension { return kinds[k].dim }

// Measure says how the kind's severity is measured.
func (k Kind) Measure() string { return kinds[k].what }

// Kinds lists every kind.
func Kinds() []Kind { return upTo(kindsEnd) }

// SearchedKinds lists the kinds that are searched for in the system.
func SearchedKinds() []Kind { return upTo(lastSearched + 1) }

// Searched is whether the kind is one of those.
func (k Kind) Searched() bool { return k <= lastSearched }

func upTo(end Kind) []Kind {
	out := make([]Kind, end)
	for i := range out {
		out[i] = Kind(i)
	}
	return out
}

// NoCase panics: code that tells kinds apart has met one that it does not know. A
// fault that is taken for another is worse than none.
func NoCase(where string, k Kind) string {
	panic(fmt.Sprintf("%s does not know fault kind %d: add a case", where, k))
}
