package bench

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"path"
	"slices"
	"strings"
	"sync"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/edit"
	"lostair/readings/problem"
)

// systemName is the file that describes the shop.
const systemName = "system.yaml"

// shop is one folder of files with what is remembered about it.
type shop struct {
	Options
	files Store
	base  string

	writing sync.Mutex // held while files are changed
	undoing history    // system files as they were
	entered entries
	thought memo
	planned keptPlan
	around  keptPlan
	proved  keptProof
}

// step is a change of the system file that can be taken back.
type step struct {
	before []byte
	after  string // version
}

func newShop(o Options, files Store, base string) *shop {
	return &shop{Options: o, files: files, base: base, entered: entries{seen: map[string]bool{}}}
}

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

// wrong is what a person is told when something can't be done.
type wrong struct {
	status   int
	what, do string
}

func (e wrong) Error() string { return e.what }

func (d *desk) fail(err error) {
	var e wrong
	var list problem.List
	switch {
	case errors.As(err, &e):
	case errors.As(err, &list):
		d.shows(http.StatusUnprocessableEntity, "error", "Something to put right first", failure{List: told(list)})
		return
	case errors.Is(err, ErrChanged):
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

type failure struct {
	What, Do string
	List     []telling
}

// telling is a problem of a file as a page says it.
type telling struct {
	Place, What, Do string
	Warning         bool
}

func told(list problem.List) []telling {
	var out []telling
	for i, p := range list {
		if i == 20 {
			out = append(out, telling{What: fmt.Sprintf("%d more", len(list)-i)})
			break
		}
		t := telling{Place: p.File, What: p.What, Do: p.Do, Warning: p.Warning}
		if p.Line > 0 {
			t.Place = fmt.Sprintf("%s, line %d", p.File, p.Line)
		}
		out = append(out, t)
	}
	return out
}

// bare is err without the path and the name of the system call.
func bare(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

func (s *shop) nowhere(*desk) error {
	return wrong{http.StatusNotFound, "There is no such page.", "Begin at the start."}
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
		b.WriteString(n + version(d.files, n))
	}
	return VersionOf([]byte(b.String()))
}

// changes answers with the stamp alone, for a page to see whether it is stale.
func (s *shop) changes(d *desk) error {
	d.send(http.StatusOK, "text/plain; charset=utf-8", policy, []byte(d.stamp()))
	return nil
}

// tables lists the CSV files, newest first as far as names tell.
func (d *desk) tables() []string {
	names, err := d.files.Names()
	if err != nil {
		return nil
	}
	var out []string
	for _, n := range names {
		if strings.EqualFold(path.Ext(n), ".csv") && n != repairsName {
			out = append(out, n)
		}
	}
	slices.SortFunc(out, func(a, b string) int {
		return cmp.Compare(strings.TrimSuffix(b, ".csv"), strings.TrimSuffix(a, ".csv"))
	})
	return out
}

// save writes the system file and remembers how it was.
func (d *desk) save(f *edit.File) error {
	after := f.Bytes()
	was := ""
	if d.data != nil {
		was = VersionOf(d.data)
	}
	if err := d.files.Write(systemName, after, was); err != nil {
		return err
	}
	if d.data != nil {
		d.undoing.push(step{d.data, VersionOf(after)})
	}
	return nil
}

// history is what can be taken back, newest last.
type history struct {
	mu    sync.Mutex
	steps []step
}

func (h *history) push(s step) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.steps = append(h.steps, s); len(h.steps) > mostUndo {
		h.steps = h.steps[1:]
	}
}

// last is the newest step, and how many there are.
func (h *history) last() (s step, n int) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if n = len(h.steps); n > 0 {
		s = h.steps[n-1]
	}
	return s, n
}

func (h *history) pop() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.steps = h.steps[:len(h.steps)-1]
}

const mostUndo = 500
