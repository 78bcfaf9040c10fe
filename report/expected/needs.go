package expected

import (
	"fmt"

	"lostair/readings/units"
	"lostair/report/show"
)

// verdict is what a port's flow says of its need.
type verdict uint8

const (
	noNeed verdict = iota
	short
	perhapsShort
	perhapsEnough
	enough
)

var verdictMarks = [...]string{noNeed: "", short: "short", perhapsShort: "perhaps short", perhapsEnough: "perhaps enough", enough: ""}

// verdict weighs a port's flow. Where the fan is a guess, the range of the flow tells
// whether it is one too.
func (q Point) verdict(flow float64) verdict {
	switch {
	case q.Need == nil || q.Shut:
		return noNeed
	case q.Range == nil && flow < q.Need.Value, q.Range != nil && q.Range.High < q.Need.Value:
		return short
	case q.Range == nil || q.Range.Low >= q.Need.Value:
		return enough
	case flow < q.Need.Value:
		return perhapsShort
	}
	return perhapsEnough
}

// needs puts the answer first: who gets what it needs, and who doesn't.
func needs(p *show.Page, e *Expected) {
	worst := map[string]verdict{}
	var ports, why [enough + 1][]string
	var order []string
	for _, x := range e.Settings {
		for _, q := range x.Points {
			flow, ok := q.value(units.FlowRate)
			v := q.verdict(flow.Value)
			if !ok || v == noNeed {
				continue
			}
			was, seen := worst[q.Point]
			if !seen {
				order = append(order, q.Point)
			}
			if !seen || v < was {
				worst[q.Point] = v
			}
			why[v] = append(why[v], fmt.Sprintf("%s with %s (%s of %s)", q.Point, show.Gates(x.Open), q.gets(flow), show.WithUnit(q.Need.Value, q.Need.Unit)))
		}
	}
	for _, id := range order {
		ports[worst[id]] = append(ports[worst[id]], id)
	}
	say := func(v verdict, lead, color string, list []string) {
		if len(list) > 0 {
			p.Para(lead, show.Few(list)+".", color)
		}
	}
	say(short, "Short of what it needs: ", show.Bad, why[short])
	say(perhapsShort, "Perhaps short: ", show.Doubtful, why[perhapsShort])
	say(perhapsEnough, "Perhaps enough: ", show.Doubtful, why[perhapsEnough])
	say(enough, "Enough: ", show.Good, ports[enough])
}

// gets is a port's flow, with its range where the fan is a guess.
func (q Point) gets(flow show.Amount) string {
	if q.Range == nil {
		return show.Shown(flow.Value)
	}
	return q.Range.Span()
}
