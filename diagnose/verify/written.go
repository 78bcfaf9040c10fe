package verify

import (
	"slices"

	"lostair/diagnose/internal/doubt"
)

// byDesign readies what the design has: by the page as it is written, whatever
// the likeliest system is. Where that has a branch that the page lacks the two
// have no places in common, and its own page stands for the design.
func (v *Verification) byDesign() {
	m := v.written
	if len(m.Sys.Ducts) != len(v.S.M.Sys.Ducts) {
		m = v.S.M
	}
	v.page, v.state = m.Coefs(), m.NewState()
}

// onlyWritten takes out what is of a branch that the page lacks.
func (v *Report) onlyWritten() {
	v.Lines = slices.DeleteFunc(v.Lines, func(l Line) bool {
		return l.Where == doubt.AddedID || l.Where == doubt.AddedPort || slices.Contains(l.Open.Gates, doubt.AddedID)
	})
	v.Carry = slices.DeleteFunc(v.Carry, func(c CarryNeed) bool {
		return c.Port == doubt.AddedPort || slices.Contains(c.Open.Gates, doubt.AddedID)
	})
}
