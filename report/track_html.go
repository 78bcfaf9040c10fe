package report

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"
)

// TrackedHTML shows a history as one self-contained page: what moves, and a
// small chart of every indicator.
func TrackedHTML(w io.Writer, t *Tracked) error {
	page, err := parsePage("track.html")
	if err != nil {
		return err
	}
	p := &trackPage{Tracked: t, Name: nameOf(t.System), Span: t.span(), Method: trackMethod(t), Wrong: t.wrongText()}
	p.Word, p.Mark, p.Class = "Steady", "✓", "clear"
	if len(t.newestFaults()) > 0 {
		p.Word, p.Mark, p.Class = "The newest survey shows a fault", "◆", "faults"
	}
	for _, s := range t.Signals {
		if !s.Over {
			p.Word, p.Mark, p.Class = "It drifts", "◆", "faults"
		}
	}
	for _, s := range t.inOrder() {
		switch c := t.chart(s); {
		case s.Signal >= 0:
			p.Moved = append(p.Moved, c)
		case s.place():
			p.Places = append(p.Places, c)
		default:
			p.Steady = append(p.Steady, c)
		}
	}
	p.Onsets = t.onsets()
	if t.Diagnosis != nil {
		for _, f := range t.Diagnosis.Faults {
			p.Newest = append(p.Newest, faultLine(f))
		}
	}
	return execute(w, page, p)
}

// RepairHTML shows a comparison as one self-contained page.
func RepairHTML(w io.Writer, r *Repair) error {
	page, err := parsePage("repair.html")
	if err != nil {
		return err
	}
	p := &repairPage{Repair: r, Name: nameOf(r.System)}
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
		p.Flows = append(p.Flows, repairFlow{x.Port, numeral(x.Before.Value), numeral(x.After.Value), minus(ratioText(x.Ratio.Value)), minus(ratioSpan(x.Ratio)), needed(x.Need), x.More})
		p.FlowUnit = symbol(x.Before.Unit)
	}
	return execute(w, page, p)
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

type trackPage struct {
	*Tracked
	Name, Span, Word, Mark, Class string
	Moved, Steady, Places         []trendChart
	Wrong, Method, Newest, Onsets []string
}

// trendChart is a series ready for the template.
type trendChart struct {
	Name, State, Now, Alt string
	Class                 string
	Width, Height         string
	Limits, Way           string // paths
	Bars                  string // one path of all intervals
	Dots                  []figureDot
	Ticks                 []chartTick
	Marks                 []chartTick // first seen, steps
	Left, Right, Bottom   string
	First, Last           string // dates
}

type chartTick struct{ X, Y, Text string }

// Size of a chart, and where its field lies in it.
const (
	chartWidth  = 300.0
	chartHeight = 132.0
	chartLeft   = 38.0
	chartTop    = 8.0
	chartRight  = 292.0
	chartBottom = 112.0
)

// scale puts a series onto the chart's field.
type scale struct{ lo, hi, first, last float64 }

func (s scale) x(day float64) float64 {
	if s.last <= s.first {
		return (chartLeft + chartRight) / 2
	}
	return chartLeft + (chartRight-chartLeft)*(day-s.first)/(s.last-s.first)
}

func (s scale) y(v float64) float64 {
	return chartBottom - (chartBottom-chartTop)*(math.Min(math.Max(v, s.lo), s.hi)-s.lo)/(s.hi-s.lo)
}

func (t *Tracked) chart(s Series) trendChart {
	days := t.days()
	sc := scale{first: days[0], last: days[len(days)-1]}
	sc.lo, sc.hi = s.reach()
	v := s.last()
	c := trendChart{Name: s.Name, State: t.stateOf(s), Now: minus(withUnit(v.Value, shortUnit(v.Unit))), Width: coordinate(chartWidth), Height: coordinate(chartHeight),
		Left: coordinate(chartLeft), Right: coordinate(chartRight), Bottom: coordinate(chartBottom), Class: "good"}
	if c.State == "RISES" || c.State == "FALLS" {
		c.Class = "short"
	}
	c.State = strings.ToLower(c.State)
	c.First, c.Last = t.Surveys[0].Date, t.Surveys[len(t.Surveys)-1].Date
	var bars strings.Builder
	many := len(s.Points) > 120
	for i, p := range s.Points {
		if p.Value == nil {
			continue
		}
		x := sc.x(days[i])
		if !many {
			fmt.Fprintf(&bars, "M%s %sV%s", coordinate(x), coordinate(sc.y(p.Value.Low)), coordinate(sc.y(p.Value.High)))
		}
		dot := figureDot{X: coordinate(x), Y: coordinate(sc.y(p.Value.Value)), Size: "1.9"}
		if many {
			dot.Size = "1.1"
		}
		if t.Surveys[i].Reference {
			dot.Shape = "reference"
		}
		c.Dots = append(c.Dots, dot)
	}
	c.Bars = bars.String()
	c.Way, c.Limits = s.paths(sc, days)
	for _, y := range ticksOf(sc.lo, sc.hi) {
		c.Ticks = append(c.Ticks, chartTick{X: coordinate(chartLeft - 4), Y: coordinate(sc.y(y)), Text: numeral(y)})
	}
	if s.Signal >= 0 {
		seen := t.Signals[s.Signal].Seen
		for i := range t.Surveys {
			if t.Surveys[i].Date == seen {
				c.Marks = append(c.Marks, chartTick{X: coordinate(sc.x(days[i])), Text: "seen"})
				break
			}
		}
	}
	c.Alt = fmt.Sprintf("%s from %s to %s: now %s", s.Name, t.Surveys[0].Date, t.Surveys[len(t.Surveys)-1].Date, c.Now)
	if c.State != "" {
		c.Alt += ", " + c.State
	}
	return c
}

// paths are the moving average and its limits.
func (s Series) paths(sc scale, days []float64) (way, limits string) {
	var a, up, down strings.Builder
	pen := "M"
	var lower []string
	for i, p := range s.Points {
		if p.Average == nil {
			continue
		}
		x := coordinate(sc.x(days[i]))
		fmt.Fprintf(&a, "%s%s %s", pen, x, coordinate(sc.y(*p.Average)))
		fmt.Fprintf(&up, "%s%s %s", pen, x, coordinate(sc.y(*p.Upper)))
		lower = append(lower, x+" "+coordinate(sc.y(*p.Lower)))
		pen = "L"
	}
	for i := len(lower) - 1; i >= 0; i-- {
		down.WriteString("L" + lower[i])
	}
	if len(lower) == 0 {
		return "", ""
	}
	return a.String(), up.String() + down.String() + "Z"
}

// ticksOf are a few round values of an axis.
func ticksOf(lo, hi float64) []float64 {
	step := niceStep(hi-lo, 3)
	var out []float64
	for v := math.Ceil(lo/step) * step; v <= hi+1e-9 && len(out) < 6; v += step {
		if math.Abs(v) < step*1e-6 {
			v = 0
		}
		out = append(out, v)
	}
	return out
}

// days are the days of the surveys, counted from the first.
func (t *Tracked) days() []float64 {
	var out []float64
	var first time.Time
	for i, s := range t.Surveys {
		d, err := time.Parse(time.DateOnly, s.Date)
		if err != nil {
			d = first.AddDate(0, 0, i)
		}
		if i == 0 {
			first = d
		}
		out = append(out, d.Sub(first).Hours()/24)
	}
	return out
}
