package guided

import (
	"fmt"
	"strings"

	"lostair/diagnose/duct"
	"lostair/diagnose/round"
	"lostair/readings/repairs"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/finding"
	"lostair/report/show"
)

// Entry is the row of the log of repairs: what was mended, and what it brought.
func Entry(r *round.Round, p *round.Proved, date string, u units.System) repairs.Row {
	e := repairs.Row{Date: date, Kind: p.Cause.Kind.String(), Where: p.Cause.Where}
	if r.Remedy() != nil {
		e.Action = strings.TrimSuffix(report.From(r.Standing.Result, u).Fixes[0].Do, ".")
	}
	if x, ok := p.Best(r.Complaint); ok {
		f := func(v float64) string { return fmt.Sprintf("%.0f", units.Flow.FromSI(u, v)) }
		e.Note = fmt.Sprintf("%s: %s to %s %s (%+.0f %%); %s", x.Port, f(x.Before.Value), f(x.After.Value),
			units.Flow.Symbol(u), 100*(x.Ratio.Value-1), betterWords(p))
	}
	return e
}

// Why says what a question is asked for.
func Why(sys *duct.System, q *round.Question) string {
	switch {
	case q.Row.Look != "":
		return show.LookShows(q.Row.Look, q.Row.Point)
	case len(q.Tells) > 0:
		return finding.Apart(q.Tells)
	}
	switch q.For {
	case round.AirOfPort:
		return "how much air it really gets"
	case round.SuctionAtPort:
		return "whether the suction reaches it"
	case round.CollectorShut:
		return "what the collector makes, and what leaks with all gates shut"
	case round.CollectorLoaded:
		return "what the collector makes under load"
	case round.FilterDrop:
		return "whether the filter is loaded"
	case round.SpokeForIt:
		return "it spoke for what was mended"
	}
	return "it tells much for the time it takes"
}
