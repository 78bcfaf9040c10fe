package repaired

import (
	"io"

	"lostair/report"
	"lostair/report/pages"
	"lostair/report/show"
)

// HTML shows a comparison as one self-contained page.
func HTML(w io.Writer, r *Repair) error {
	page, err := pages.ParsePage("repair.html")
	if err != nil {
		return err
	}
	p := &repairPage{Repair: r, Name: report.NameOf(r.System)}
	p.Word, p.Mark, p.Class = "Not shown", "?", "unclear"
	switch r.Verdict {
	case "better":
		p.Word, p.Mark, p.Class = "Better", "✓", "clear"
	case "worse":
		p.Word, p.Mark, p.Class = "Worse", "✗", "faults"
	case "mixed":
		p.Word, p.Mark, p.Class = "Better and worse", "±", "faults"
	case "same":
		p.Word, p.Mark = "No change seen", "≈"
	}
	for _, c := range r.Changes {
		p.List = append(p.List, repairChange{c.Together, repairWords(c)})
	}
	for _, x := range r.Ports {
		if x.Before == nil || x.After == nil || x.Ratio == nil {
			continue
		}
		p.Flows = append(p.Flows, repairFlow{x.Port, show.Numeral(x.Before.Value), show.Numeral(x.After.Value), show.Minus(show.RatioText(x.Ratio.Value)), show.Minus(ratioSpan(x.Ratio)), report.Needed(x.Need), x.More})
		p.FlowUnit = show.Symbol(x.Before.Unit)
	}
	return show.Execute(w, page, p)
}

type repairPage struct {
	*Repair
	Name, Word, Mark, Class, FlowUnit string
	List                              []repairChange
	Flows                             []repairFlow
}

type repairChange struct {
	Probability float64
	Text        string
}

type repairFlow struct {
	Port, Before, After, Change, Span, Need string
	More                                    float64
}
