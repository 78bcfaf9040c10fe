// Package onepage makes the bench page as one file: it builds the engine for
// WebAssembly from the source and puts it, packed, into a page with its style, its
// script and the demo shop.
package onepage

import (
	"bytes"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"text/template"
	"unicode/utf8"

	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
)

// enginePackage is what is built for the page.
const enginePackage = "./cmd/internal/bench/engine"

// Make gives the page, and how many bytes of it are the engine, from a checkout of
// the source in a folder. Go has to be installed.
func Make(ctx context.Context, source string, demo []store.File) (page []byte, engine int, err error) {
	if err := isCheckout(source); err != nil {
		return nil, 0, err
	}
	wasm, err := build(ctx, source)
	if err != nil {
		return nil, 0, err
	}
	glue, err := glueOf(ctx, source)
	if err != nil {
		return nil, 0, err
	}
	packed, err := pack(wasm)
	if err != nil {
		return nil, 0, err
	}
	page, err = compose(glue, packed, demo)
	return page, len(packed), err
}

func isCheckout(source string) error {
	data, err := os.ReadFile(filepath.Join(source, "go.mod"))
	if err != nil || !bytes.HasPrefix(data, []byte("module lostair\n")) {
		return fmt.Errorf("%s is no checkout of lostair's source, from which the page is made; give it with --source", source)
	}
	return nil
}

// build compiles the engine.
func build(ctx context.Context, source string) ([]byte, error) {
	dir, err := os.MkdirTemp("", "lostair-page-")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	out := filepath.Join(dir, "engine.wasm")
	c := exec.CommandContext(ctx, "go", "build", "-trimpath", "-buildvcs=false", "-tags", "nethttpomithttp2", "-ldflags", "-s -w", "-o", out, enginePackage)
	c.Dir = source
	c.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0", "GOFLAGS=")
	if said, err := c.CombinedOutput(); err != nil {
		if errors.Is(err, exec.ErrNotFound) {
			return nil, errors.New("the page's engine is built by Go, which isn't installed here; see https://go.dev/doc/install")
		}
		return nil, fmt.Errorf("the engine could not be built: %w\n%s", err, bytes.TrimSpace(said))
	}
	return os.ReadFile(out)
}

// glueOf is the script of the engine's worker: Go's own, and ours behind it.
func glueOf(ctx context.Context, source string) ([]byte, error) {
	c := exec.CommandContext(ctx, "go", "env", "GOROOT")
	c.Dir = source
	root, err := c.Output()
	if err != nil {
		return nil, fmt.Errorf("where Go is installed can't be found: %w", err)
	}
	data, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), "lib", "wasm", "wasm_exec.js"))
	if err != nil {
		return nil, fmt.Errorf("this Go has no script for WebAssembly: %w", err)
	}
	return append(append(data, '\n'), pages.Asset("worker.js")...), nil
}

func pack(wasm []byte) ([]byte, error) {
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err = z.Write(wasm); err == nil {
		err = z.Close()
	}
	return b.Bytes(), err
}

// compose puts the parts together. Its policy lets the page run its own two
// scripts, known by their hashes, and its engine, and fetch nothing.
func compose(glue, engine []byte, demo []store.File) ([]byte, error) {
	type file struct {
		Name string `json:"name"`
		Data []byte `json:"data"`
	}
	files := []file{}
	for _, f := range demo {
		files = append(files, file(f))
	}
	list, err := json.Marshal(files) // letters < and > come out escaped
	if err != nil {
		return nil, err
	}
	page, script, style := pages.Asset("page.js"), pages.Asset("bench.js"), pages.Asset("bench.css")
	for _, part := range [][]byte{glue, page, script, style} {
		if bytes.Contains(bytes.ToLower(part), []byte("</s")) {
			return nil, errors.New("a script or style would end its element early")
		}
	}
	t, err := template.New("one").Parse(string(pages.Asset("one.tmpl")))
	if err != nil {
		return nil, err
	}
	var b bytes.Buffer
	err = t.Execute(&b, map[string]string{
		"Policy": "default-src 'none'; script-src " + hash(page) + " " + hash(script) + " 'wasm-unsafe-eval'; worker-src blob:; " +
			"style-src 'unsafe-inline'; img-src data:; base-uri 'none'; form-action 'none'",
		"Style": string(style), "Glue": string(glue), "Demo": string(list),
		"Engine": letters(engine), "Page": string(page), "Bench": string(script),
	})
	return b.Bytes(), err
}

// unfit are the letters that may not stand in a script element, or do not come out of
// one as they went in: each is written as a letter from firstSpare on.
var unfit = [...]byte{0, '\r', 0x1a, '<'}

const firstSpare = 'À'

// letters writes an engine so that it may stand in a page of UTF-8: seven bits a
// letter, an eighth shorter than base64. The page's script reads it back.
func letters(engine []byte) string {
	out := make([]byte, 0, len(engine)*6/5)
	write := func(seven byte) {
		if i := bytes.IndexByte(unfit[:], seven); i >= 0 {
			out = utf8.AppendRune(out, firstSpare+rune(i))
			return
		}
		out = append(out, seven)
	}
	held, n := uint(0), 0
	for _, b := range engine {
		held, n = held<<8|uint(b), n+8
		for n >= 7 {
			n -= 7
			write(byte(held>>n) & 0x7f)
		}
	}
	if n > 0 {
		write(byte(held<<(7-n)) & 0x7f)
	}
	return string(out)
}

func hash(script []byte) string {
	sum := sha256.Sum256(script)
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}
