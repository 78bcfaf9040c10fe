package trial

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"lostair/diagnose/trial/internal/dice"
	"lostair/diagnose/trial/survey"
	"lostair/readings"
	"lostair/readings/units"
)

// spoil makes one or two rows of a survey wrong, as people do.
func (w *world) spoil(d dice.Dice, rows []survey.Row) []Fault {
	var out []Fault
	spoilt := map[int]bool{}
	n := 1 + d.IntN(5)/4
	if len(rows) < 10 {
		n = 1
	}
	for range n {
		for range 12 {
			i := d.IntN(len(rows))
			if spoilt[i] || rows[i].Position > 0 {
				continue
			}
			if f, ok := w.wrong(d, &rows[i]); ok {
				spoilt[i] = true
				f.Where = fmt.Sprintf("row %d", i+2)
				out = append(out, f)
				break
			}
		}
	}
	return out
}

// wrong changes a row; false where the mistake can't be made or does not show.
func (w *world) wrong(d dice.Dice, r *survey.Row) (Fault, bool) {
	right := r.Value(w.b.page)
	f := Fault{Kind: ReadingWrong, Along: -1, Severity: right, Quantity: r.Quantity, Unit: r.UnitOf(w.b.page)}
	text, old := "", r.Text
	f.How = []string{"unit", "digits", "sign", "gate"}[d.Weighted([]float64{4, 2, 1.5, 2})]
	switch f.How {
	case "unit":
		text = w.inOtherUnit(d, r, right)
	case "digits":
		text = swapDigits(d, r.Text)
	case "sign":
		if r.Quantity == units.StaticPressure || r.Quantity == units.Suction {
			text = negated(r.Text)
		}
	case "gate":
		text = w.behindOtherGate(d, r)
	}
	if text == "" || text == old {
		return f, false
	}
	r.Text = text
	sd := r.Meter.Sigma(right, 1)
	if r.Quantity == units.FlowRate {
		sd = 0.03 * math.Abs(right)
	}
	if math.Abs(r.Value(w.b.page)-right) < 4*sd {
		r.Text = old
		return f, false
	}
	return f, true
}

// inOtherUnit writes the value in a unit that the row does not say.
func (w *world) inOtherUnit(d dice.Dice, r *survey.Row, si float64) string {
	var list []string
	switch r.Quantity.Dimension() {
	case units.Pressure:
		list = []string{"Pa", "mmH2O", "kPa", "inH2O", "hPa"}
	case units.Velocity:
		list = []string{"m/s", "fpm", "km/h", "ft/s"}
	default:
		list = []string{"m3/h", "L/s", "cfm"}
	}
	unit := dice.Pick(d, list...)
	if unit == r.UnitOf(w.b.page) {
		return ""
	}
	return survey.Written(survey.MustConvert(si, r.Quantity, unit), r.Step(unit))
}

// swapDigits exchanges two neighbouring digits.
func swapDigits(d dice.Dice, text string) string {
	var at []int
	for i := 0; i+1 < len(text); i++ {
		a, b := text[i], text[i+1]
		if a >= '0' && a <= '9' && b >= '0' && b <= '9' && a != b && b != '0' {
			at = append(at, i)
		}
	}
	if len(at) == 0 {
		return ""
	}
	i := dice.Pick(d, at...)
	return text[:i] + string(text[i+1]) + string(text[i]) + text[i+2:]
}

func negated(text string) string {
	if v, _ := strconv.ParseFloat(text, 64); v == 0 {
		return ""
	}
	if t, ok := strings.CutPrefix(text, "-"); ok {
		return t
	}
	return "-" + text
}

// behindOtherGate reads the row with another gate open in place of its own.
func (w *world) behindOtherGate(d dice.Dice, r *survey.Row) string {
	g := w.b.page.Gates()
	if r.Open.All || len(r.Open.Gates) != 1 || len(g) < 2 {
		return ""
	}
	x := *r
	x.Open = readings.Open{Gates: []string{dice.Pick(d, g...)}}
	y, per, err := w.truth(&x)
	if err != nil {
		return ""
	}
	x.Put(w.b.page, w.show(d, &x, y, per))
	return x.Text
}
