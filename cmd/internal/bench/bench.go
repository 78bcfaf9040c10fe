// Package bench is the bench page: the whole job in a browser, over the same
// files and the same library as the commands. It is one http.Handler that renders
// its pages from the shop's files, whether it is asked over a connection or, built
// for WebAssembly, by the script of a page that is one file.
//
//   - Package store is where the files are, package pages how a page looks.
//   - Package desk reads the files for a request, writes them back and shows a page.
//   - Package tell shows the shop in sentences and a drawing, package ask asks for what
//     they say and changes it, package rounds takes readings.
//   - Here the places are joined: start.go, answer.go (its sliders in slide.go), health.go
//     and print.go are those of this package, engine.go is what they ask of packages
//     diagnose and report.
//
// Forms work without script; bench.js only saves reloads. Who may ask is not
// looked at here: that is package door's.
package bench

import (
	"net/http"

	"lostair/cmd/internal/bench/ask"
	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
	"lostair/cmd/internal/bench/tell"
)

// Bench is the handler of all pages.
type Bench struct {
	mux *http.ServeMux
}

// New makes the handler. The demo's files are a shop of their own under /demo/;
// what is changed there is forgotten with the program.
func New(o Options) *Bench {
	b := &Bench{mux: http.NewServeMux()}
	b.mount(newShop(o, o.Files, ""))
	if len(o.Demo) > 0 {
		demo := o
		demo.Phone = nil
		b.mount(newShop(demo, store.NewMemory(o.Demo...), "/demo"))
	}
	b.mux.HandleFunc("GET /bench.css", asset("bench.css", "text/css; charset=utf-8"))
	b.mux.HandleFunc("GET /bench.js", asset("bench.js", "text/javascript; charset=utf-8"))
	b.mux.HandleFunc("GET /favicon.ico", func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusNoContent) })
	return b
}

// mount puts the places of a shop under its prefix.
func (b *Bench) mount(s *shop) {
	for pattern, do := range map[string]desk.Route{
		"GET /{$}":             s.start,
		"POST /new":            s.create,
		"POST /files":          s.take,
		"GET /files/{name...}": s.give,
		"GET /changes":         desk.Changes,
		"GET /phone":           s.phone,

		"GET /shop":           tell.Describe,
		"GET /shop/word":      ask.Word,
		"POST /shop/word":     ask.SetWord,
		"POST /shop/try":      ask.TryWord,
		"GET /shop/add":       ask.Adding,
		"POST /shop/add":      ask.Add,
		"POST /shop/try-add":  ask.TryAdd,
		"POST /shop/remove":   ask.Remove,
		"POST /shop/undo":     ask.Undo,
		"GET /shop/table":     ask.Table,
		"POST /shop/table":    ask.TakeTable,
		"GET /shop/ducts.csv": ask.GiveTable,

		"GET /round":        s.book.Show,
		"POST /round":       s.book.Begin,
		"POST /round/read":  s.book.Enter,
		"POST /round/back":  s.book.TakeBack,
		"POST /round/tap":   s.book.Drill,
		"GET /round/proof":  s.book.Proof,
		"POST /round/proof": s.book.ReadProof,

		"GET /answer":        s.answer,
		"GET /answer/report": s.report,
		"GET /whatif":        s.whatIf,

		"GET /health":         s.health,
		"GET /health/history": s.history,
		"GET /health/repair":  s.repair,
		"POST /health":        s.logRepair,

		"GET /print":       s.print,
		"GET /print/sheet": s.sheet,
	} {
		method, path := split(pattern)
		b.mux.HandleFunc(method+" "+s.at.Base+path, func(w http.ResponseWriter, r *http.Request) { s.at.Serve(w, r, do) })
	}
	if s.at.Base == "" {
		b.mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) { s.at.Serve(w, r, nowhere) })
	}
}

func split(pattern string) (method, path string) {
	for i := range pattern {
		if pattern[i] == ' ' {
			return pattern[:i], pattern[i+1:]
		}
	}
	return "", pattern
}

// asset hands a file out that goes with the pages.
func asset(name, kind string) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", kind)
		w.Header().Set("Cache-Control", "no-cache")
		w.Write(pages.Asset(name))
	}
}

// ServeHTTP answers a request.
func (b *Bench) ServeHTTP(w http.ResponseWriter, r *http.Request) { b.mux.ServeHTTP(w, r) }

func nowhere(*desk.Desk) error {
	return desk.Refuse(http.StatusNotFound, "There is no such page.", "Begin at the start.")
}
