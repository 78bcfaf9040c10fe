package desk

import (
	"cmp"
	"context"
	"errors"
	"io/fs"
	"log"
	"net/http"
	"strings"
	"sync"
	"time"

	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
	"lostair/cmd/internal/defect"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/edit"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// SystemName is the file that describes the shop.
const SystemName = "system.yaml"

// Shop is one folder of files with what is remembered about it. Its fields don't change.
type Shop struct {
	Files  store.Store
	Base   string           // in front of every address
	Where  string           // what the pages call the place of Files, such as a folder's path
	InPage bool             // this runs in the browser, in a page that is one file
	Now    func() time.Time // for the date of a reading
	Work   time.Duration    // how long the work on an answer may take; 0: Patience

	writing sync.Mutex // held while files are changed
	undoing history    // system files as they were
	thought memo
}

// Route is a page or an action: it answers, or says what went wrong.
type Route func(d *Desk) error

// Desk is one request with the shop's files as they are now.
type Desk struct {
	*Shop
	Request *http.Request
	w       http.ResponseWriter

	Data []byte       // of the system file
	Doc  *edit.File   // nil: there is none, or it can't be read
	Bad  error        // why it can't
	sys  *duct.System // as check passes it, once it was asked for
}

// Patience is how long the work on an answer may take before it is given up, as a rule: a
// large plant takes its time to be diagnosed.
const Patience = 2 * time.Minute

// Serve does what a request asks, or shows what went wrong. One request at a time changes
// files.
func (s *Shop) Serve(w http.ResponseWriter, r *http.Request, do Route) {
	ctx, stop := context.WithTimeout(r.Context(), cmp.Or(s.Work, Patience))
	defer stop()
	d := &Desk{Shop: s, w: w, Request: r.WithContext(ctx)}
	if r.Method == http.MethodPost {
		if err := d.parseForm(); err != nil {
			d.fail(Refuse(http.StatusRequestEntityTooLarge, "That is more than one form may hold.", "Send fewer files, or smaller ones."))
			return
		}
		s.writing.Lock()
		defer s.writing.Unlock()
	}
	d.load()
	if err := defect.Caught(func() error { return do(d) }); err != nil {
		d.fail(err)
	}
}

// mostForm is how much of a form is taken.
const mostForm = 6 << 20

func (d *Desk) parseForm() error {
	d.Request.Body = http.MaxBytesReader(d.w, d.Request.Body, mostForm)
	if strings.HasPrefix(d.Request.Header.Get("Content-Type"), "multipart/") {
		return d.Request.ParseMultipartForm(mostForm)
	}
	return d.Request.ParseForm()
}

func (d *Desk) load() {
	var err error
	if d.Data, err = d.Files.Read(SystemName); err != nil {
		if !errors.Is(err, fs.ErrNotExist) {
			d.Bad = err
		}
		d.Data = nil
		return
	}
	d.Doc, d.Bad = edit.Open(d.Data, SystemName)
}

// name is the shop's.
func (d *Desk) name() string {
	if d.Doc == nil {
		return ""
	}
	return cmp.Or(d.Doc.Root.Get("name").Text, "My shop")
}

// Units are those of the file's bare numbers.
func (d *Desk) Units() units.System {
	if d.Doc != nil && d.Doc.Root.Get("units").Text == "us" {
		return units.US
	}
	return units.Metric
}

// Problems are all that check says of the system file.
func (d *Desk) Problems() problem.List {
	_, list := systemfile.Load(d.Data, SystemName)
	return list
}

// NeedsShop says what to do where no shop is described, or its file can't be read.
func (d *Desk) NeedsShop() error {
	if d.Bad != nil {
		return Refuse(http.StatusUnprocessableEntity, SystemName+" can't be read: "+d.Bad.Error(), "Correct it with a text editor; this page looks again when you reload it.")
	}
	if d.Doc == nil {
		return Refuse(http.StatusNotFound, "No shop is described yet.", "Begin at the start: describe yours, open its files, or look at the demo.")
	}
	return nil
}

// System is the shop as check passes it.
func (d *Desk) System() (*duct.System, error) {
	if err := d.NeedsShop(); err != nil {
		return nil, err
	}
	if d.sys == nil { // a step of a round asks for it several times
		s, list := systemfile.Load(d.Data, SystemName)
		if err := list.Err(); err != nil {
			return nil, err
		}
		d.sys = s
	}
	return d.sys, nil
}

// Context ends with the request, or when the work takes too long.
func (d *Desk) Context() context.Context { return d.Request.Context() }

// Form is a field of the form or the address, without spaces around it.
func (d *Desk) Form(name string) string { return strings.TrimSpace(d.Request.FormValue(name)) }

// stamp changes whenever a file does.
func (d *Desk) stamp() string {
	names, err := d.Files.Names()
	if err != nil {
		return ""
	}
	var b strings.Builder
	for _, n := range names {
		b.WriteString(n + store.Version(d.Files, n))
	}
	return store.VersionOf([]byte(b.String()))
}

// Save writes the system file and remembers how it was.
func (d *Desk) Save(f *edit.File) error {
	after := f.Bytes()
	was := ""
	if d.Data != nil {
		was = store.VersionOf(d.Data)
	}
	if err := d.Files.Write(SystemName, after, was); err != nil {
		return err
	}
	if d.Data != nil {
		d.Remember(d.Data, after)
	}
	return nil
}

// Remember keeps how the system file was before a change, so that it can be taken back.
func (d *Desk) Remember(before, after []byte) { d.undoing.push(step{before, store.VersionOf(after)}) }

// Undoable is how many changes can be taken back.
func (d *Desk) Undoable() int {
	_, n := d.undoing.last()
	return n
}

// Undo takes the last change back.
func (d *Desk) Undo() error {
	last, n := d.undoing.last()
	if n == 0 {
		return Refuse(http.StatusConflict, "There is nothing to take back.", "Changes can be taken back until the program is stopped.")
	}
	if store.VersionOf(d.Data) != last.after {
		return Refuse(http.StatusConflict, SystemName+" was changed by something else since.", "Taking back would lose that change, so nothing is done.")
	}
	if err := d.Files.Write(SystemName, last.before, last.after); err != nil {
		return err
	}
	d.undoing.pop()
	return nil
}

// With is the desk as if the system file were another.
func (d *Desk) With(f *edit.File) *Desk {
	return &Desk{Shop: d.Shop, w: d.w, Request: d.Request, Data: f.Bytes(), Doc: f}
}

// Show answers with the page of a name, such as "shop-add".
func (d *Desk) Show(status int, name, title string, body any) error {
	page, err := pages.Render(name, pages.View{Base: d.Base, Title: title, Shop: d.name(), Demo: d.Base != "", InPage: d.InPage,
		Where: d.Where, Stamp: d.stamp(), Told: d.Request.URL.Query().Get("told"), Body: body})
	if err != nil {
		return err
	}
	d.send(status, "text/html; charset=utf-8", pages.Policy, page)
	return nil
}

// ShowProblems answers with what is wrong alone, for the script of a page to put in.
func (d *Desk) ShowProblems(list []pages.Telling) error {
	part, err := pages.RenderProblems(list)
	if err != nil {
		return err
	}
	d.send(http.StatusOK, "text/html; charset=utf-8", pages.Policy, part)
	return nil
}

// ShowReport shows a page of package report as it is.
func (d *Desk) ShowReport(page []byte) error {
	d.send(http.StatusOK, "text/html; charset=utf-8", pages.PolicyOf(page), page)
	return nil
}

// HandOut gives a file to be kept elsewhere; disposition says under which name.
func (d *Desk) HandOut(kind, disposition string, data []byte) error {
	d.w.Header().Set("Content-Disposition", disposition)
	d.send(http.StatusOK, kind, pages.Policy, data)
	return nil
}

func (d *Desk) send(status int, kind, policy string, data []byte) {
	h := d.w.Header()
	h.Set("Content-Type", kind)
	h.Set("Content-Security-Policy", policy)
	h.Set("Cache-Control", "no-store")
	d.w.WriteHeader(status)
	if d.Request.Method != http.MethodHead {
		d.w.Write(data)
	}
}

// SeeOther sends the browser on after a form was taken.
func (d *Desk) SeeOther(address string) error {
	http.Redirect(d.w, d.Request, d.Base+address, http.StatusSeeOther)
	return nil
}

func (d *Desk) fail(err error) {
	var e Wrong
	var list problem.List
	switch {
	case errors.As(err, &e):
	case errors.As(err, &list):
		d.shows(http.StatusUnprocessableEntity, "error", "Something to put right first", failure{List: pages.Told(list)})
		return
	case errors.Is(err, store.ErrChanged):
		e = Refuse(http.StatusConflict, "The file was changed by somebody else at this very moment.", "Nothing of theirs was overwritten. Go back and do it again.")
	case errors.Is(err, edit.ErrShape):
		e = Refuse(http.StatusUnprocessableEntity, "The shop's file is not written so that this can be changed here.", "Nothing was changed. Change the file with a text editor.")
	case d.Context().Err() != nil:
		e = Refuse(http.StatusServiceUnavailable, "It took too long and was stopped.", "Nothing was changed. Try it again.")
	case defect.StackOf(err) != "":
		log.Print(err, "\n", defect.StackOf(err))
		e = Refuse(http.StatusInternalServerError, "It could not be worked out: "+err.Error()+".", "Tell who maintains lostair, with the shop's files and what stands in the terminal.")
	default:
		e = Refuse(http.StatusInternalServerError, "It could not be done: "+bare(err).Error()+".", "Nothing was changed. Is the disk full, or the folder not yours to write in?")
	}
	d.shows(e.Status, "error", "That did not work", failure{What: e.What, Do: e.Do})
}

func (d *Desk) shows(status int, name, title string, body any) {
	if err := d.Show(status, name, title, body); err != nil {
		http.Error(d.w, "The page could not be shown.", http.StatusInternalServerError)
	}
}

// Changes answers with the stamp alone, for a page to see whether it is stale.
func Changes(d *Desk) error {
	d.send(http.StatusOK, "text/plain; charset=utf-8", pages.Policy, []byte(d.stamp()))
	return nil
}
