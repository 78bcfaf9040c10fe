package report

import (
	"io"

	"lostair/diagnose"
	"lostair/readings/units"
	"lostair/report/drawing"
)

// Picture writes the drawing of the duct system, with the suspects on it, as
// an SVG file that needs nothing else. It is the drawing of the page that HTML
// writes, in one piece.
func Picture(w io.Writer, d *diagnose.Result, u units.System) error {
	t, err := parsePage("picture.html", "drawing.html")
	if err != nil {
		return err
	}
	p := newHTMLPage(d, u)
	v := newTreeView(d, u, p.Suspects)
	layout := drawing.Layout(v.sheet(true))
	f := newTreeFigure(layout, tint{v.class, v.w.zones, v.w.parts}, 0, layout.Height)
	f.Kind, f.ID = "wide", "picture"
	f.Title, f.Desc = "The duct system, from the collector to the ports", v.inWords()
	return execute(w, t, struct{ Figure treeFigure }{f})
}
