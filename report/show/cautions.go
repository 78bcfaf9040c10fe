package show

// Cautions are the usual ones for work on a dust system. Common practice, no
// source; they stand in for no rule that holds where the shop is.
const (
	lockOff  = "Switch the fan off and lock it off before you open a duct, a hood, the bin or the fan's housing. A wheel runs on long after the switch."
	spark    = "Fine dust in air burns and can explode. No flame, no smoke and no spark near an open duct, bin or filter; never look for leaks with a flame or a smoke source."
	ladder   = "Read and drill from a ladder or platform that stands safely, not while reaching. Before drilling a tap look for what is behind and stop the fan; keep swarf out of the duct, since a chip can strike sparks in the fan; deburr, and plug the hole after."
	respire  = "Dust that opens up with a duct, bin or filter is fine enough to harm the lungs: wear a respirator that fits, and don't sweep or blow it about."
	bonding  = "Leave bonding and grounding (earthing) of the ducts as local rules want them; put back each strap that you take off."
	Mains    = "Leave work on motor and supply to a licensed electrician."
	NoProof  = "These are estimates from readings. They are no proof that a system meets a rule or a law, and no design; local codes and licensed practice come first."
	NoRepair = "Change nothing that guards, vents or interlocks a machine or the collector."
)

// Usual are the cautions for any work on a dust system.
func Usual() []string { return []string{spark, lockOff, ladder, respire, bonding} }

// CautionsInBrief are the cautions where there is room for a paragraph.
const CautionsInBrief = "Fine dust burns and can explode: no flame, no smoke and no spark near an open duct, bin or filter, and never look for leaks with a flame or a smoke source. " +
	"Lock off the fan before you open anything; its wheel runs on. Read and drill from a ladder or platform that stands safely, with no swarf into the duct. " +
	"Wear a respirator that fits. Put bonding straps back; leave motor and supply to a licensed electrician. " +
	"These are estimates: no proof that a system meets a rule or a law, and no design; local codes come first."
