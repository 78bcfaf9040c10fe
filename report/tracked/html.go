package tracked

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"lostair/report"
	"lostair/report/figure"
	"lostair/report/pages"
	"lostair/report/show"
)

// HTML shows a history as one self-contained page: what moves, and a
// small chart of every indicator.
func HTML(w io.Writer, t *Tracked) error {
	page, err := pages.ParsePage("track.html")
	if err != nil {
		return err
	}
	p := &trackPage{Tracked: t, Name: report.NameOf(t.System), Span: t.span(), Method: trackMethod(t), Wrong: t.wrongText()}
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
	return show.Execute(w, page, p)
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
	Dots                  []figure.Dot
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
	c := trendChart{Name: s.Name, State: t.stateOf(s), Now: show.Minus(show.WithUnit(v.Value, shortUnit(v.Unit))), Width: show.Coordinate(chartWidth), Height: show.Coordinate(chartHeight),
		Left: show.Coordinate(chartLeft), Right: show.Coordinate(chartRight), Bottom: show.Coordinate(chartBottom), Class: "good"}
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
			fmt.Fprintf(&bars, "M%s %sV%s", show.Coordinate(x), show.Coordinate(sc.y(p.Value.Low)), show.Coordinate(sc.y(p.Value.High)))
		}
		dot := figure.Dot{X: show.Coordinate(x), Y: show.Coordinate(sc.y(p.Value.Value)), Size: "1.9"}
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
		c.Ticks = append(c.Ticks, chartTick{X: show.Coordinate(chartLeft - 4), Y: show.Coordinate(sc.y(y)), Text: show.Numeral(y)})
	}
	if s.Signal >= 0 {
		seen := t.Signals[s.Signal].Seen
		for i := range t.Surveys {
			if t.Surveys[i].Date == seen {
				c.Marks = append(c.Marks, chartTick{X: show.Coordinate(sc.x(days[i])), Text: "seen"})
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
		x := show.Coordinate(sc.x(days[i]))
		fmt.Fprintf(&a, "%s%s %s", pen, x, show.Coordinate(sc.y(*p.Average)))
		fmt.Fprintf(&up, "%s%s %s", pen, x, show.Coordinate(sc.y(*p.Upper)))
		lower = append(lower, x+" "+show.Coordinate(sc.y(*p.Lower)))
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
	step := show.NiceStep(hi-lo, 3)
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
