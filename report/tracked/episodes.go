package tracked

import (
	"fmt"
	"time"

	"lostair/diagnose/fault"
	"lostair/diagnose/track"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/show"
)

// Episode is one thing that was wrong for a time.
type Episode struct {
	report.Candidate
	Together float64        `json:"together"` // probability that it is this one or one of alike
	From     Moment         `json:"from"`     // the first survey that shows it
	To       *Moment        `json:"to"`       // the first survey without it; null: it is still there
	EndedBy  *string        `json:"ended_by"` // "repair" or "unknown"; null while it lasts
	Severity *show.Interval `json:"severity"` // when last seen
	Text     string         `json:"text"`     // in words
}

// Moment is a date of a survey, with the range that holds the truth nine times in ten.
type Moment struct {
	Date string `json:"date"`
	Low  string `json:"low"`
	High string `json:"high"`
}

func episodeOf(t *track.History, e *track.Episode, u units.System) Episode {
	x := Episode{Candidate: candidateOf(t, e.Candidate), Together: show.Probability(e.Together), From: momentOf(t, e.From), Severity: show.IntervalOf(e.Severity, e.Dimension, u)}
	for _, a := range e.Alike {
		x.Alike = append(x.Alike, candidateOf(t, a))
	}
	if e.To != nil {
		m := momentOf(t, *e.To)
		x.To, x.EndedBy = &m, &e.EndedBy
	}
	x.Text = episodeText(t, e, &x)
	return x
}

func candidateOf(t *track.History, c fault.Candidate) report.Candidate {
	return report.CandidateOf(t.System, c)
}

func momentOf(t *track.History, m track.Moment) Moment {
	date := func(i int) string { return t.Surveys[min(i, len(t.Surveys)-1)].Date.Format(time.DateOnly) }
	return Moment{date(m.Survey), date(m.Low), date(m.High)}
}

// episodeText tells an episode in a sentence: what, since when, until when and by
// what, how bad.
func episodeText(t *track.History, e *track.Episode, x *Episode) string {
	what := x.Name
	if len(x.Alike) > 0 {
		what += " or something that looks the same"
	}
	text := fmt.Sprintf("%s: %s, first seen on %s", show.Title(what), show.Chance(x.Together), x.From.Date)
	if x.From.Low != x.From.High {
		text += fmt.Sprintf(" (between %s and %s)", x.From.Low, x.From.High)
	}
	if e.Grew {
		text += ", has grown since"
	}
	if e.Fell {
		text += ", has become less since"
	}
	switch {
	case e.To == nil:
		text += ", still there"
	case e.EndedBy == "repair":
		text += fmt.Sprintf(", gone by %s after the repair of %s", x.To.Date, e.Repair.Date.Format(time.DateOnly))
	default:
		text += fmt.Sprintf(", gone by %s", x.To.Date)
	}
	last := t.Surveys[len(t.Surveys)-1].Date.Format(time.DateOnly)
	if x.To != nil {
		last = t.Surveys[e.To.Survey-1].Date.Format(time.DateOnly)
	}
	return text + fmt.Sprintf(". By the readings of %s %s.", last, severityText(e.Kind, x.Severity))
}

// severityText says how bad it is as the diagnosis does: of what a share is one.
func severityText(k fault.Kind, v *show.Interval) string {
	bad := fmt.Sprintf(show.KindWords(k).HowBad, show.WithUnit(v.Value, v.Unit))
	return fmt.Sprintf("%s (9 in 10 sure of %s)", bad, show.InWord(show.EvenSpan(v), v.Unit))
}
