package html

import (
	"io"

	"lostair/diagnose"
	"lostair/readings/units"
	"lostair/report/drawing"
	"lostair/report/figure"
	"lostair/report/pages"
	"lostair/report/show"
)

// Picture writes the drawing of the duct system, with the suspects on it, as
// an SVG file that needs nothing else. It is the drawing of the page that HTML
// writes, in one piece.
func Picture(w io.Writer, d *diagnose.Result, u units.System) error {
	t, err := pages.ParsePage("picture.html", "drawing.html")
	if err != nil {
		return err
	}
	p := newHTMLPage(d, u)
	v := newTreeView(d, u, p.Suspects)
	layout := drawing.Layout(v.sheet(true))
	f := figure.NewTreeFigure(layout, figure.Tint{Class: v.class, Zones: v.w.zones, Parts: v.w.parts, Grade: v.w.grade}, 0, layout.Height)
	f.Kind, f.ID = "wide", "picture"
	f.Title, f.Desc = "The duct system, from the collector to the ports", v.inWords()
	return show.Execute(w, t, struct{ Figure figure.TreeFigure }{f})
}
