package trial

// Names of the kinds, as the contract has them.
const (
	Leak           = "leak"
	Blockage       = "blockage"
	GateRestricted = "gate-restricted"
	GateLeaking    = "gate-leaking"
	FilterLoaded   = "filter-loaded"
	FanWeak        = "fan-weak"
	Undersized     = "undersized"
	ReadingWrong   = "reading-wrong"
)

// MainKinds are the kinds that are localised; the rest have rows of their own.
func MainKinds() []string {
	return []string{Leak, Blockage, GateRestricted, GateLeaking, FilterLoaded, FanWeak}
}
