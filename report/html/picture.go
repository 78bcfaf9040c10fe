package html

import (
	"io"
	"math"
	"strings"

	"lostair/diagnose"
	"lostair/readings/units"
	"lostair/report/drawing"
	"lostair/report/figure"
	"lostair/report/layout"
	"lostair/report/pages"
	"lostair/report/show"
)

// picture is the drawing with the answer above it, for who has no more than that.
type picture struct {
	Figure      figure.TreeFigure
	Said        []said
	Top, Height string // where the drawing begins, and the height of all
}

// said is a line above the drawing.
type said struct{ Y, Class, Text string }

// Picture writes the drawing of the duct system, with the suspects on it, as
// an SVG file that needs nothing else: above the drawing of the page that HTML
// writes, in one piece, it says what was found, how sure that is and what to do.
func Picture(w io.Writer, d *diagnose.Result, u units.System) error {
	t, err := pages.ParsePage("picture.html", "drawing.html")
	if err != nil {
		return err
	}
	p := newHTMLPage(d, u)
	v := newTreeView(d, u, p.Suspects)
	laid := drawing.Layout(v.sheet(true))
	f := figure.NewTreeFigure(laid, v.tint(), 0, laid.Height)
	f.Kind, f.ID = "wide", "picture"
	f.Title, f.Desc = "The duct system, from the collector to the ports", v.inWords()
	lines, top := v.said(p, laid.Width)
	return show.Execute(w, t, picture{f, lines, show.Coordinate(top), show.Coordinate(math.Ceil(top + laid.Height))})
}

// Rows of what is said above a picture: their height, and about how wide a letter is.
const (
	saidRow    = 16.0
	saidLetter = 6.8
)

func (v *treeView) said(p *htmlPage, width float64) (out []said, end float64) {
	y := 6.0
	put := func(class, text string) {
		for _, line := range layout.Wrap(text, int((width-16)/saidLetter)) {
			y += saidRow
			out = append(out, said{show.Coordinate(y), class, line})
		}
	}
	a := p.Answer
	put("strong", p.Name())
	put("", strings.Join(strings.Fields(a.Broken+" "+a.TooSmall+" "+a.Rows), " "))
	for _, f := range p.Found {
		put("strong", f.Number+": "+f.Words)
	}
	if a.Do != "" {
		put("", strings.TrimSpace("Do first: "+a.Do+" "+a.Gain))
	}
	put("", "Read next: "+a.Read)
	key := "Not to scale. The collector is on top, air runs up and to the left."
	if len(p.Suspects) > 0 {
		key += " A number in a diamond is a suspect, the fuller the likelier; the dotted stretch is what these readings can't tell apart. ≈: fits, the suspects allowed for; ▲ more, ▼ less than that."
	}
	put("faint", key)
	return out, y + 10
}
