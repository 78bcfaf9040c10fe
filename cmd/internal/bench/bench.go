// Package bench is the bench page: the whole job in a browser, over the same
// files and the same library as the commands. It is one http.Handler that renders
// its pages from the shop's files, whether it is asked over a connection or, built
// for WebAssembly, by the script of a page that is one file.
//
//   - Package store is where the files are; package pages has the templates.
//   - desk.go reads the files for a request, writes them back and shows a page;
//     surveys.go reads the surveys, with what the library says of one.
//   - shop.go tells the shop in sentences, picture.go draws it; ask.go asks for one thing
//     of it, answers.go makes changes of an answer.
//   - start.go, word.go, add.go, table.go, round.go, proof.go, answer.go, health.go and
//     print.go are the places.
//
// Forms work without script; bench.js only saves reloads. Who may ask is not
// looked at here: that is package door's.
package bench

import (
	"net/http"

	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
)

// Bench is the handler of all pages.
type Bench struct {
	mux *http.ServeMux
}

// New makes the handler. The demo's files are a shop of their own under /demo/;
// what is changed there is forgotten with the program.
func New(o Options) *Bench {
	b := &Bench{mux: http.NewServeMux()}
	own := newShop(o, o.Files, "")
	b.mount("", own)
	if len(o.Demo) > 0 {
		demo := o
		demo.Phone = nil
		b.mount("/demo", newShop(demo, store.NewMemory(o.Demo...), "/demo"))
	}
	b.mux.HandleFunc("GET /bench.css", asset("bench.css", "text/css; charset=utf-8"))
	b.mux.HandleFunc("GET /bench.js", asset("bench.js", "text/javascript; charset=utf-8"))
	b.mux.HandleFunc("GET /favicon.ico", func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusNoContent) })
	return b
}

// mount puts the places of a shop under a prefix.
func (b *Bench) mount(prefix string, s *shop) {
	for pattern, do := range map[string]route{
		"GET /{$}":             s.start,
		"POST /new":            s.create,
		"POST /files":          s.take,
		"GET /files/{name...}": s.give,
		"GET /changes":         s.changes,
		"GET /phone":           s.phone,

		"GET /shop":           s.describe,
		"GET /shop/word":      s.askWord,
		"POST /shop/word":     s.setWord,
		"POST /shop/try":      s.tryWord,
		"GET /shop/add":       s.askAdd,
		"POST /shop/add":      s.add,
		"POST /shop/try-add":  s.tryAdd,
		"POST /shop/remove":   s.remove,
		"POST /shop/undo":     s.undo,
		"GET /shop/table":     s.askTable,
		"POST /shop/table":    s.takeTable,
		"GET /shop/ducts.csv": s.giveTable,

		"GET /round":        s.round,
		"POST /round":       s.beginRound,
		"POST /round/read":  s.enter,
		"POST /round/back":  s.takeBack,
		"POST /round/tap":   s.drilled,
		"GET /round/proof":  s.proof,
		"POST /round/proof": s.readProof,

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
		b.mux.HandleFunc(method+" "+prefix+path, func(w http.ResponseWriter, r *http.Request) { s.serve(w, r, do) })
	}
	if prefix == "" {
		b.mux.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) { s.serve(w, r, s.nowhere) })
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
