package bench

import (
	"crypto/sha256"
	"embed"
	"encoding/base64"
	"html/template"
	"net/http"
	"regexp"
	"strings"
	"sync"
)

//go:embed pages
var pageFiles embed.FS

// Asset is a file that goes with the pages, such as "bench.css".
func Asset(name string) []byte {
	data, err := pageFiles.ReadFile("pages/" + name)
	if err != nil {
		panic("bench: no file " + name) // a slip in this package, found by its first test
	}
	return data
}

func asset(name, kind string) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", kind)
		w.Header().Set("Cache-Control", "no-cache")
		w.Write(Asset(name))
	}
}

// view is what every template gets.
type view struct {
	Base   string // in front of every address
	Place  string // which of the places this is
	Title  string
	Shop   string // its name
	Demo   bool
	InPage bool
	Where  string
	Stamp  string // of the state of all files that the page shows
	Told   string // what an action has to say
	Body   any
}

// chip is an answer by one tap.
type chip struct {
	Value, Text, Note string
	Chosen            bool
}

// typed is an answer by typing.
type typed struct {
	Value, Unit, Label string
	Number             bool
}

// part is one of several questions on a screen.
type part struct {
	Name, Ask, Hint string
	Chips           []chip
	Typed           *typed
}

type suspectView struct {
	N, Name, Chance string
	Share           float64
	Where, Kind     string
	Members         []suspectView // of a group: what it may be, with shares of its chance
}

// policy lets a page have its own style and script, talk to where it came from,
// and do nothing else.
const policy = "default-src 'none'; style-src 'self'; script-src 'self'; connect-src 'self'; img-src 'self' data:; " +
	"form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// templates are the pages, read when the first is shown: no other command waits for them.
var templates = sync.OnceValue(parsed)

func parsed() map[string]*template.Template {
	out := map[string]*template.Template{}
	funcs := template.FuncMap{
		"list2": func(name string, chips []chip) part { return part{Name: name, Chips: chips} },
		"sym":   symbol,
		"bar":   func(share float64) int { return int(100*min(max(share, 0), 1) + 0.5) },
	}
	names, err := pageFiles.ReadDir("pages")
	if err != nil {
		panic(err)
	}
	for _, e := range names {
		name, ok := strings.CutSuffix(e.Name(), ".html")
		if !ok || name == "frame" || name == "parts" {
			continue
		}
		out[name] = template.Must(template.New("frame.html").Funcs(funcs).ParseFS(pageFiles, "pages/frame.html", "pages/parts.html", "pages/"+e.Name()))
	}
	return out
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

// policyOf lets a page of package report have the styles and scripts that it
// holds, by their hashes, and fetch nothing.
func policyOf(page []byte) string {
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
