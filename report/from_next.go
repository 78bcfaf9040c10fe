package report

import (
	"fmt"
	"math"
	"strings"

	"lostair/diagnose/next"
	"lostair/readings/units"
	"lostair/report/finding"
	"lostair/report/show"
)

func (c Converter) next(n next.Step) Next {
	out := Next{Point: n.Point, Quantity: n.Quantity.String(), Open: n.Open.String(), HoseOff: strings.Join(n.HoseOff, "+"), Again: n.Again,
		Bits: show.Significant(show.Finite(n.Bits)), Minutes: show.Significant(show.Finite(n.Minutes))}
	if n.LookAt != "" {
		out.Quantity, out.Look, out.Why = string(n.LookAt), show.LookQuestion(n.LookAt, n.Point), show.LookShows(n.LookAt, n.Point)
		if n.LookAt.Number() {
			out.Unit = units.Diameter.Symbol(c.U)
		}
		return out
	}
	out.Why = finding.Apart(n.Tells)
	d := n.Quantity.Dimension()
	out.Unit = d.Symbol(c.U)
	if show.Numbers(n.Range.Low) && show.Numbers(n.Range.High) && n.Range.Low < n.Range.High {
		out.Range = &show.Range{Low: show.Value(n.Range.Low, d, c.U), High: show.Value(n.Range.High, d, c.U)}
	}
	if n.NewTap != nil {
		out.NewTap = &NewTap{Duct: n.NewTap.Duct, At: show.AmountOf(n.NewTap.At, units.Length, c.U)}
	}
	return out
}

func (c Converter) enough(e next.Enough) Sufficiency {
	return Sufficiency{Yes: e.Yes, Risk: show.Probability(show.Finite(e.Risk)), Why: c.enoughWords(e)}
}

// enoughWords say in a sentence whether more readings are worth their minutes.
func (c Converter) enoughWords(e next.Enough) string {
	act := "that nothing is to be mended"
	if e.Act != nil {
		act = "what to do first"
	}
	if e.Yes {
		return fmt.Sprintf("More readings would hardly change %s (%s that it is something else).", act, inHundred(e.Risk))
	}
	return fmt.Sprintf("More readings may still change %s (%s that it is something else).", act, inHundred(e.Risk))
}

// inHundred is a chance as people say it.
func inHundred(p float64) string {
	switch n := math.Round(100 * p); {
	case p < 0.01:
		return "less than 1 in 100"
	default:
		return fmt.Sprintf("%.0f in 100", n)
	}
}
