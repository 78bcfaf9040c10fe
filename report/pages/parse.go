// Package pages holds the templates and the style of all pages, and reads them.
package pages

import (
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"html/template"
	"strings"

	"lostair/report"
	"lostair/report/show"
)

// The pages are templates of package html/template, which makes whatever
// stands in a user's file harmless. A page holds its style and its drawings,
// and its content security policy lets it fetch nothing. The page of a diagnosis
// alone has a script, a short one that the policy knows by its hash; without it
// the page is whole.
//
//go:embed *.html style.css report.js
var pageFiles embed.FS

// ParsePage reads templates; the first named is the page.
func ParsePage(names ...string) (*template.Template, error) {
	style, err := pageFiles.ReadFile("style.css")
	if err != nil {
		return nil, err
	}
	script, err := pageFiles.ReadFile("report.js")
	if err != nil {
		return nil, err
	}
	t := template.New(names[0]).Funcs(template.FuncMap{
		"script":    func() template.JS { return template.JS(script) },
		"hash":      func() string { return hashOf(script) },
		"style":     func() template.CSS { return template.CSS(style) }, // ours, not the user's
		"percent":   func(p float64) string { return show.Pretty(show.Percent(p)) },
		"chance":    show.Chance,
		"title":     show.Title,
		"pretty":    show.Pretty,
		"share":     func(p float64) string { return show.Coordinate(100*p) + "%" },
		"gates":     show.Gates,
		"num":       show.Numeral,
		"near":      func(v, sigma float64) string { return show.Minus(show.Fixed(v, show.Places(2*show.OffAt*sigma))) },
		"unit":      show.Symbol,
		"span":      func(iv show.Interval) string { return show.Minus(iv.Span()) },
		"mid":       func(iv show.Interval) string { return show.Minus(iv.Mid()) },
		"showsNote": func() string { return show.ShowsNote },
		"name":      show.Quantity,
		"lines":     func(ns []int) string { return strings.Replace(show.Lines(ns), " ", "\u00a0", 1) },
		"add":       func(a, b int) int { return a + b },
		"alike":     report.Fault.Shared,
		"speaks":    report.Speaks,
		"list":      show.Listed,
		"cost":      report.CostWords,
		"next":      report.NextStep.Words,
		"worth":     func(n report.NextStep) string { return report.NextWorth(n.Next) },
		"wrong":     func(f report.Fault) string { return show.Pretty(report.WrongRowWords(f)) },
		"file":      report.FileName,
		"needed":    report.Needed,
		"brief":     func() string { return show.CautionsInBrief },
		"gain":      report.GainWords,
		"ifitis":    report.IfItIs,
		"wanted":    report.IfSound,
		"spaced":    show.Spaced,
	})
	return t.ParseFS(pageFiles, append(names, "head.html")...)
}

// hashOf is a script as a content security policy names it.
func hashOf(script []byte) string {
	sum := sha256.Sum256(script)
	return "sha256-" + base64.StdEncoding.EncodeToString(sum[:])
}
