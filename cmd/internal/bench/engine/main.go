//go:build js && wasm

// Command engine is the bench page's handler for WebAssembly: a worker of the page
// that is one file asks it in place of a server. Files live in memory, and what
// changes is handed to the script, which keeps it as far as the browser lets it.
package main

import (
	"bytes"
	"net/http"
	"runtime/debug"
	"syscall/js"
	"time"

	"lostair/cmd/internal/bench"
	"lostair/cmd/internal/bench/store"
)

func main() {
	debug.SetGCPercent(400)
	self := js.Global()
	files := store.NewMemory(filesOf(self.Get("lostairFiles"))...)
	files.Changed = func(name string, data []byte) { self.Call("lostairKeep", name, bytesOut(data)) }
	h := bench.New(bench.Options{Files: files, Where: "this browser", Demo: filesOf(self.Get("lostairDemo")), InPage: true, Now: time.Now})
	self.Set("lostairAnswer", js.FuncOf(func(_ js.Value, args []js.Value) any {
		go answer(h, args[0].String(), args[1].String(), args[2].String(), args[3], args[4])
		return nil
	}))
	self.Call("lostairReady")
	select {}
}

// answer puts a request to the handler, and what comes out to the script.
func answer(h http.Handler, method, address, kind string, body, done js.Value) {
	w := &recorder{header: http.Header{}, status: http.StatusOK}
	r, err := http.NewRequest(method, "http://bench"+address, bytes.NewReader(bytesIn(body)))
	if err != nil {
		done.Invoke(http.StatusBadRequest, "", "text/plain", bytesOut([]byte(err.Error())))
		return
	}
	r.RequestURI = address
	if kind != "" {
		r.Header.Set("Content-Type", kind)
	}
	h.ServeHTTP(w, r)
	done.Invoke(w.status, w.header.Get("Location"), w.header.Get("Content-Type"), bytesOut(w.Bytes()))
}

// recorder is a http.ResponseWriter into memory.
type recorder struct {
	bytes.Buffer
	header http.Header
	status int
	begun  bool
}

func (w *recorder) Header() http.Header { return w.header }

func (w *recorder) WriteHeader(status int) {
	if !w.begun {
		w.status, w.begun = status, true
	}
}

func filesOf(list js.Value) []store.File {
	var out []store.File
	for i := range list.Length() {
		f := list.Index(i)
		out = append(out, store.File{Name: f.Get("name").String(), Data: bytesIn(f.Get("data"))})
	}
	return out
}

func bytesIn(v js.Value) []byte {
	if v.IsNull() || v.IsUndefined() {
		return nil
	}
	b := make([]byte, v.Get("length").Int())
	js.CopyBytesToGo(b, v)
	return b
}

func bytesOut(b []byte) js.Value {
	v := js.Global().Get("Uint8Array").New(len(b))
	js.CopyBytesToJS(v, b)
	return v
}
