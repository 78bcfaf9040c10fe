package pages

import (
	"bytes"
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"html/template"
	"io"
	"regexp"
	"strings"
	"sync"
)

//go:embed *.html *.css *.js *.tmpl
var pageFiles embed.FS

// Asset is a file that goes with the pages, such as "bench.css".
func Asset(name string) []byte {
	data, err := pageFiles.ReadFile(name)
	if err != nil {
		panic("pages: no file " + name) // a slip in this package, found by its first test
	}
	return data
}

// View is what every template gets.
type View struct {
	Base   string // in front of every address
	Place  string // which of the places this is; Render says it
	Title  string
	Shop   string // its name
	Demo   bool
	InPage bool
	Where  string
	Stamp  string // of the state of all files that the page shows
	Told   string // what an action has to say: a key of sayings, and nothing else
	Body   any
}

// Policy lets a page have its own style and script, talk to where it came from,
// and do nothing else.
const Policy = "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; img-src 'self' data:; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// templates are the pages, read when the first is shown: no other command waits for them.
var templates = sync.OnceValue(parsed)

func parsed() map[string]*template.Template {
	out := map[string]*template.Template{}
	funcs := template.FuncMap{
		"list2": func(name string, chips []Chip) Part { return Part{Name: name, Chips: chips} },
		"sym":   Symbol,
		"bar":   func(share float64) int { return int(100*min(max(share, 0), 1) + 0.5) },
	}
	names, err := pageFiles.ReadDir(".")
	if err != nil {
		panic(err)
	}
	for _, e := range names {
		name, ok := strings.CutSuffix(e.Name(), ".html")
		if !ok || name == "frame" || name == "parts" {
			continue
		}
		out[name] = template.Must(template.New("frame.html").Funcs(funcs).ParseFS(pageFiles, "frame.html", "parts.html", e.Name()))
	}
	return out
}

// Render is the page of a name, such as "shop-add".
func Render(name string, v View) ([]byte, error) {
	v.Place = strings.SplitN(name, "-", 2)[0]
	v.Told = sayings[v.Told] // an address may come from anywhere: it can't put words in
	var b bytes.Buffer
	err := templates()[name].Execute(&b, v)
	return b.Bytes(), err
}

// RenderProblems is the part of a page that lists what is wrong.
func RenderProblems(list []Telling) ([]byte, error) {
	var b bytes.Buffer
	err := templates()["shop-word"].ExecuteTemplate(&b, "problems", list)
	return b.Bytes(), err
}

// sayings are what an action may say on the next page.
var sayings = map[string]string{
	"saved":   "Saved.",
	"undone":  "Taken back.",
	"added":   "Added.",
	"removed": "Taken out. “Undo” puts it back.",
	"read":    "Written down.",
	"opened":  "The files are here.",
	"logged":  "Written into the log of repairs.",
}

var inline = regexp.MustCompile(`(?s)<(style|script)>(.*?)</(?:style|script)>`)

// PolicyOf lets a page of package report have the styles and scripts that it
// holds, by their hashes, and fetch nothing.
func PolicyOf(page []byte) string {
	hashes := map[string]string{}
	for _, m := range inline.FindAllSubmatch(page, -1) {
		sum := sha256.Sum256(m[2])
		hashes[string(m[1])] += " 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
	}
	for _, kind := range []string{"style", "script"} {
		if hashes[kind] == "" {
			hashes[kind] = " 'none'"
		}
	}
	return "default-src 'none'; style-src" + hashes["style"] + "; script-src" + hashes["script"] +
		"; img-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
}

// Written is what is shown, as bytes.
func Written(show func(io.Writer) error) ([]byte, error) {
	var b bytes.Buffer
	err := show(&b)
	return b.Bytes(), err
}
