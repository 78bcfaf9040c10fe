package report

import (
	"embed"
	"html/template"
	"io"
	"strings"

	"lostair/diagnose"
	"lostair/readings/units"
)

// The pages are templates of package html/template, which makes whatever
// stands in a user's file harmless. A page holds its style and its drawings,
// has no script, and its content security policy lets it fetch nothing.
//
//go:embed pages
var pageFiles embed.FS

// HTML shows a diagnosis as one self-contained page, in the units of u: the
// verdict, the duct tree with the suspects on it, what to do, flow at the
// ports, static pressure on the way to the fan, what to read next, every
// reading, and what the result rests on.
func HTML(w io.Writer, d *diagnose.Result, u units.System) error {
	t, err := parsePage("report.html", "drawing.html")
	if err != nil {
		return err
	}
	return execute(w, t, newHTMLPage(d, u))
}

func parsePage(names ...string) (*template.Template, error) {
	style, err := pageFiles.ReadFile("pages/style.css")
	if err != nil {
		return nil, err
	}
	t := template.New(names[0]).Funcs(template.FuncMap{
		"style":     func() template.CSS { return template.CSS(style) }, // ours, not the user's
		"percent":   func(p float64) string { return pretty(percent(p)) },
		"chance":    chance,
		"title":     title,
		"pretty":    pretty,
		"share":     func(p float64) string { return coordinate(100*p) + "%" },
		"gates":     gates,
		"num":       numeral,
		"near":      func(v, sigma float64) string { return minus(fixed(v, places(2*offAt*sigma))) },
		"unit":      symbol,
		"span":      func(iv Interval) string { return minus(iv.span()) },
		"mid":       func(iv Interval) string { return minus(iv.mid()) },
		"showsNote": func() string { return showsNote },
		"name":      quantity,
		"lines":     func(ns []int) string { return strings.Replace(lines(ns), " ", "\u00a0", 1) },
		"add":       func(a, b int) int { return a + b },
		"alike":     func(f Fault) string { return listed(alikeNames(f)) },
		"speaks":    speaks,
		"list":      listed,
		"cost":      costWords,
		"next":      nextStep.words,
		"worth":     func(n nextStep) string { return nextWorth(n.Next) },
		"wrong":     func(f Fault) string { return pretty(wrongRow(f)) },
		"file":      fileName,
		"needed":    needed,
		"spaced":    spaced,
	})
	for i := range names {
		names[i] = "pages/" + names[i]
	}
	return t.ParseFS(pageFiles, names...)
}
