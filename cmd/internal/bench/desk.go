package bench

import (
	"cmp"
	"context"
	"errors"
	"io/fs"
	"net/http"
	"strings"
	"sync"
	"time"

	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/edit"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// systemName is the file that describes the shop.
const systemName = "system.yaml"

// Options say what a Bench works with.
type Options struct {
	Files   store.Store
	Where   string                   // what the pages call the place of Files, such as a folder's path
	Demo    []store.File             // the files of the demo shop
	InPage  bool                     // the Bench runs in the browser, in a page that is one file
	Now     func() time.Time         // for the date of a reading
	Phone   func() (link, qr string) // a link that lets a phone in, once, and its QR code as SVG; nil: no phone can reach this
	Version string
}

// shop is one folder of files with what is remembered about it.
type shop struct {
	Options
	files store.Store
	base  string

	writing sync.Mutex // held while files are changed
	undoing history    // system files as they were
	entered entries
	thought memo
	planned keptPlan
	around  keptPlan
	proved  keptProof
}

func newShop(o Options, files store.Store, base string) *shop {
	return &shop{Options: o, files: files, base: base, entered: entries{seen: map[string]bool{}}}
}

// route is a page or an action: it answers, or says what went wrong.
type route func(d *desk) error

// desk is one request with the shop's files as they are now.
type desk struct {
	*shop
	w http.ResponseWriter
	r *http.Request

	data []byte       // of the system file
	doc  *edit.File   // nil: there is none, or it can't be read
	bad  error        // why it can't
	sys  *duct.System // as check passes it, once it was asked for
}

// patience is how long a diagnosis may take before it is given up.
const patience = 2 * time.Minute

func bounded(r *http.Request) (context.Context, context.CancelFunc) {
	return context.WithTimeout(r.Context(), patience)
}

func (s *shop) serve(w http.ResponseWriter, r *http.Request, do route) {
	ctx, stop := bounded(r)
	defer stop()
	d := &desk{shop: s, w: w, r: r.WithContext(ctx)}
	if r.Method == http.MethodPost {
		if err := d.parseForm(); err != nil {
			d.fail(wrong{http.StatusRequestEntityTooLarge, "That is more than one form may hold.", "Send fewer files, or smaller ones."})
			return
		}
		s.writing.Lock()
		defer s.writing.Unlock()
	}
	d.load()
	if err := do(d); err != nil {
		d.fail(err)
	}
}

// mostForm is how much of a form is taken.
const mostForm = 6 << 20

func (d *desk) parseForm() error {
	d.r.Body = http.MaxBytesReader(d.w, d.r.Body, mostForm)
	if strings.HasPrefix(d.r.Header.Get("Content-Type"), "multipart/") {
		return d.r.ParseMultipartForm(mostForm)
	}
	return d.r.ParseForm()
}

func (d *desk) load() {
	var err error
	if d.data, err = d.files.Read(systemName); err != nil {
		if !errors.Is(err, fs.ErrNotExist) {
			d.bad = err
		}
		d.data = nil
		return
	}
	d.doc, d.bad = edit.Open(d.data, systemName)
}

// name is the shop's.
func (d *desk) name() string {
	if d.doc == nil {
		return ""
	}
	return cmp.Or(d.doc.Root.Get("name").Text, "My shop")
}

// units of the file's bare numbers.
func (d *desk) units() units.System {
	if d.doc != nil && d.doc.Root.Get("units").Text == "us" {
		return units.US
	}
	return units.Metric
}

// problems is all that check says of the system file.
func (d *desk) problems() problem.List {
	_, list := duct.Load(d.data, systemName)
	return list
}

func (d *desk) needsShop() error {
	if d.bad != nil {
		return wrong{http.StatusUnprocessableEntity, systemName + " can't be read: " + d.bad.Error(), "Correct it with a text editor; this page looks again when you reload it."}
	}
	if d.doc == nil {
		return wrong{http.StatusNotFound, "No shop is described yet.", "Begin at the start: describe yours, open its files, or look at the demo."}
	}
	return nil
}

// system is the shop as check passes it.
func (d *desk) system() (*duct.System, error) {
	if err := d.needsShop(); err != nil {
		return nil, err
	}
	if d.sys == nil { // a step of a round asks for it several times
		s, list := duct.Load(d.data, systemName)
		if err := list.Err(); err != nil {
			return nil, err
		}
		d.sys = s
	}
	return d.sys, nil
}

// form is a field of the form or the address, without spaces around it.
func (d *desk) form(name string) string { return strings.TrimSpace(d.r.FormValue(name)) }

// stamp changes whenever a file does.
func (d *desk) stamp() string {
	names, err := d.files.Names()
	if err != nil {
		return ""
	}
	var b strings.Builder
	for _, n := range names {
		b.WriteString(n + store.Version(d.files, n))
	}
	return store.VersionOf([]byte(b.String()))
}

// save writes the system file and remembers how it was.
func (d *desk) save(f *edit.File) error {
	after := f.Bytes()
	was := ""
	if d.data != nil {
		was = store.VersionOf(d.data)
	}
	if err := d.files.Write(systemName, after, was); err != nil {
		return err
	}
	if d.data != nil {
		d.undoing.push(step{d.data, store.VersionOf(after)})
	}
	return nil
}

// show renders a page.
func (d *desk) show(status int, name, title string, body any) error {
	page, err := pages.Render(name, pages.View{Base: d.base, Title: title, Shop: d.name(), Demo: d.base != "", InPage: d.InPage,
		Where: d.Where, Stamp: d.stamp(), Told: d.r.URL.Query().Get("told"), Body: body})
	if err != nil {
		return err
	}
	d.send(status, "text/html; charset=utf-8", pages.Policy, page)
	return nil
}

// showProblems answers with what is wrong alone, for the script of a page to put in.
func (d *desk) showProblems(list []pages.Telling) error {
	part, err := pages.RenderProblems(list)
	if err != nil {
		return err
	}
	d.send(http.StatusOK, "text/html; charset=utf-8", pages.Policy, part)
	return nil
}

// showReport shows a page of package report as it is.
func (d *desk) showReport(page []byte) error {
	d.send(http.StatusOK, "text/html; charset=utf-8", pages.PolicyOf(page), page)
	return nil
}

// handOut gives a file to be kept elsewhere; disposition says under which name.
func (d *desk) handOut(kind, disposition string, data []byte) error {
	d.w.Header().Set("Content-Disposition", disposition)
	d.send(http.StatusOK, kind, pages.Policy, data)
	return nil
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

func (d *desk) fail(err error) {
	var e wrong
	var list problem.List
	switch {
	case errors.As(err, &e):
	case errors.As(err, &list):
		d.shows(http.StatusUnprocessableEntity, "error", "Something to put right first", failure{List: pages.Told(list)})
		return
	case errors.Is(err, store.ErrChanged):
		e = wrong{http.StatusConflict, "The file was changed by somebody else at this very moment.", "Nothing of theirs was overwritten. Go back and do it again."}
	case errors.Is(err, edit.ErrShape):
		e = wrong{http.StatusUnprocessableEntity, "The shop's file is not written so that this can be changed here.", "Nothing was changed. Change the file with a text editor."}
	case d.r.Context().Err() != nil:
		e = wrong{http.StatusServiceUnavailable, "It took too long and was stopped.", "Nothing was changed. Try it again."}
	default:
		e = wrong{http.StatusInternalServerError, "It could not be done: " + bare(err).Error() + ".", "Nothing was changed. Is the disk full, or the folder not yours to write in?"}
	}
	d.shows(e.status, "error", "That did not work", failure{What: e.what, Do: e.do})
}

func (d *desk) shows(status int, name, title string, body any) {
	if err := d.show(status, name, title, body); err != nil {
		http.Error(d.w, "The page could not be shown.", http.StatusInternalServerError)
	}
}

func (s *shop) nowhere(*desk) error {
	return wrong{http.StatusNotFound, "There is no such page.", "Begin at the start."}
}

// changes answers with the stamp alone, for a page to see whether it is stale.
func (s *shop) changes(d *desk) error {
	d.send(http.StatusOK, "text/plain; charset=utf-8", pages.Policy, []byte(d.stamp()))
	return nil
}
