package talk

import (
	"fmt"
	"strings"

	"lostair/diagnose/round"
	"lostair/report/guided"
	"lostair/report/show"
)

// question puts the question.
func (t *Talk) question(q *round.Question) error {
	p := t.page()
	p.Blank()
	lead := fmt.Sprintf("%d. ", t.asked)
	rest := strings.Repeat(" ", len(lead))
	if g := guided.Gates(q); g != "" {
		p.Para(lead, g, show.PlainText)
		lead = rest
	}
	ask := guided.Asked(t.System, q)
	if q.Again {
		ask += " Once more, to be sure."
	}
	p.Para(lead, ask, show.Bold)
	if s := guided.Range(q, t.Units); s != "" {
		if little := guided.SaysLittle(t.System, q); little != "" {
			s += ", " + little
		}
		p.Para(rest, fmt.Sprintf("A sound system shows %s.", s), show.PlainText)
	}
	if guided.Fast(q) {
		p.Para(rest, show.Title(show.FastVane)+". Above it type pitot, to read the velocity pressure with a pitot tube.", show.Doubtful)
	}
	if q.NewTap != nil {
		p.Para(rest, fmt.Sprintf("The hole is to be drilled first, with the fan off and locked off. Then type drilled, or drilled and the distance if it sits elsewhere, and the tap %s goes into %s. Skip it if you would rather not.", q.Row.Point, t.System.File), show.Doubtful)
	}
	return t.put(p)
}

func (t *Talk) prompt(q *round.Question) string {
	if q.Row.Look != "" && !q.Row.Look.Number() {
		return q.Row.Point + ", yes or no"
	}
	return fmt.Sprintf("%s, %s", q.Row.Point, q.Row.Dimension().Symbol(t.Units))
}
