package bench

import (
	"bytes"
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

// show renders a page.
func (d *desk) show(status int, name, title string, body any) error {
	v := view{Base: d.base, Place: strings.SplitN(name, "-", 2)[0], Title: title, Shop: d.name(), Demo: d.base != "", InPage: d.InPage,
		Where: d.Where, Stamp: d.stamp(), Told: d.r.URL.Query().Get("told"), Body: body}
	if said, ok := sayings[v.Told]; ok {
		v.Told = said
	} else {
		v.Told = "" // an address may come from anywhere: it can't put words in
	}
	var b bytes.Buffer
	if err := templates()[name].Execute(&b, v); err != nil {
		return err
	}
	d.send(status, "text/html; charset=utf-8", policy, b.Bytes())
	return nil
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

func (d *desk) send(status int, kind, policy string, data []byte) {
	h := d.w.Header()
	h.Set("Content-Type", kind)
	h.Set("Content-Security-Policy", policy)
	h.Set("Cache-Control", "no-store")
	d.w.WriteHeader(status)
	if d.r.Method != http.MethodHead {
		d.w.Write(data)
	}
}

// go303 sends the browser on after a form was taken.
func (d *desk) go303(address string) error {
	http.Redirect(d.w, d.r, d.base+address, http.StatusSeeOther)
	return nil
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
