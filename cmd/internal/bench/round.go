package bench

import (
	"bytes"
	"cmp"
	"crypto/rand"
	"errors"
	"fmt"
	"net/http"
	"path"
	"slices"
	"strings"
	"sync"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// roundFile is a round as its readings file has it.
type roundFile struct {
	Name      string
	Version   string
	Complaint string
	Rows      []readings.Row
	data      []byte
}

const (
	roundPrefix = "round-"
	roundHead   = "# A round with the bench page. Complaint: "
)

func (r *roundFile) words() string {
	return fmt.Sprintf("%s: %s so far", strings.TrimSuffix(strings.TrimPrefix(r.Name, roundPrefix), ".csv"), plural(len(r.Rows), "reading"))
}

// lastRound is the newest round; nil: there is none.
func (d *desk) lastRound() (*roundFile, error) {
	for _, n := range d.tables() {
		if strings.HasPrefix(path.Base(n), roundPrefix) && !strings.Contains(n, "/") {
			return d.roundNamed(n)
		}
	}
	return nil, nil
}

func (d *desk) roundNamed(name string) (*roundFile, error) {
	data, err := d.files.Read(name)
	if err != nil {
		return nil, err
	}
	r := &roundFile{Name: name, Version: VersionOf(data), data: data}
	if first, _, _ := strings.Cut(string(data), "\n"); strings.HasPrefix(first, roundHead) {
		r.Complaint = strings.TrimSuffix(strings.TrimPrefix(first, roundHead), ".")
	}
	s, _ := readings.Read(bytes.NewReader(data), name, d.units())
	r.Rows = s.Rows
	return r, nil
}

// Complaints with which a round begins.
var complaints = []string{"everything is weak", "new install", "monthly check", "after a repair"}

type roundView struct {
	File      string
	Complaint string
	Begin     *beginning
	Step      *stepView
	Form      *stepForm
	Ahead     []*stepForm // what is asked for if the connection is gone
	Done      []doneView
	Says      string
	Suspects  []suspectView
	Last      string // what the last reading says
	Again     string
	Other     *otherView
	Enough    string
	Picture   *picture
	Broken    []telling // why no reading can be asked for
	Was       string    // version of the file
	coming    []*stepView
}

type beginning struct {
	Weak     []string
	Others   []string
	Earlier  *roundFile
	Finished string
}

// stepView is a reading that is asked for.
type stepView struct {
	Open, OpenWords  string
	Changed          bool // the gates stand otherwise than before
	Point, Where     string
	Quantity, What   string
	Unit             string
	HoseOff          string
	Low, High, Range string
	Why              string
	Minutes          string
	How              []string
	Safety           string
	Units            []string
	Key              string // tells this step from others
	Look             string // a look: what to look at; answered by yes or no
}

type doneView struct{ What, Value string }

type suspectView struct {
	N, Name, Chance string
	Share           float64
	Where, Kind     string
	Members         []suspectView // of a group: what it may be, with shares of its chance
}

func (s *shop) round(d *desk) error {
	sys, err := d.system()
	if err != nil {
		return err
	}
	r, err := d.lastRound()
	if err != nil {
		return err
	}
	if r == nil || d.form("new") != "" {
		return d.show(http.StatusOK, "round", "Round", d.begin(sys, r))
	}
	v, err := d.roundView(sys, r)
	if err != nil {
		return err
	}
	return d.show(http.StatusOK, "round", "Round", v)
}

func (d *desk) begin(sys *duct.System, r *roundFile) *roundView {
	b := &beginning{Others: complaints, Earlier: r}
	for _, p := range sys.Ports {
		b.Weak = append(b.Weak, p.ID)
	}
	return &roundView{Begin: b}
}

// beginRound makes the file of a new round.
func (s *shop) beginRound(d *desk) error {
	if _, err := d.system(); err != nil {
		return err
	}
	complaint := strings.Map(func(r rune) rune {
		if r < ' ' {
			return ' '
		}
		return r
	}, cmp.Or(d.form("complaint"), "everything is weak"))
	if len(complaint) > 120 {
		complaint = complaint[:120]
	}
	head, err := written(func(w writer) error { return readings.Write(w, nil, d.units()) })
	if err != nil {
		return err
	}
	day := d.Now().Format("2006-01-02")
	for n := 1; n < 100; n++ {
		name := roundPrefix + day + ".csv"
		if n > 1 {
			name = fmt.Sprintf("%s%s-%02d.csv", roundPrefix, day, n)
		}
		err := d.files.Write(name, append([]byte(roundHead+complaint+".\n"), head...), "")
		if errors.Is(err, ErrChanged) {
			continue // it is there already
		}
		if err != nil {
			return err
		}
		return d.go303("/round")
	}
	return wrong{http.StatusConflict, "There are a hundred rounds of today.", "Put some of their files elsewhere."}
}

func (d *desk) roundView(sys *duct.System, r *roundFile) (*roundView, error) {
	v := &roundView{File: r.Name, Complaint: r.Complaint, Was: r.Version}
	for _, row := range r.Rows {
		v.Done = append(v.Done, doneView{fmt.Sprintf("%s, %s", row.Point, openWords(row.Open.String())), strings.TrimSpace(row.Typed + " " + symbol(row.Unit))})
	}
	slices.Reverse(v.Done)
	if err := d.stepOf(sys, r, v); err != nil {
		var list problem.List
		if !errors.As(err, &list) {
			return nil, err
		}
		v.Broken = told(list)
		return v, nil
	}
	if n := len(r.Rows); n > 0 {
		v.Again = d.askedAgain(r.Rows[n-1])
	}
	v.Other = others(sys)
	if v.Step != nil {
		v.Form = v.formOf(d.base, v.Step, 0)
		spot := spotOf(sys, v.Step.Point)
		marks := map[string][]lit{v.Step.Point: {{class: "chosen"}}}
		v.Picture = d.picture(nil, spot, marks)
	}
	for i, x := range v.coming {
		v.Ahead = append(v.Ahead, v.formOf(d.base, x, i+1))
	}
	return v, nil
}

// stepForm is a step with all that its form needs.
type stepForm struct {
	*stepView
	Base, File string
	Entry      string // marks what is sent, so that it counts once
	After      int    // readings that were there before
	Problems   []telling
	Sure       bool   // asks whether the value is right as it is
	Typed      string // once more
}

// formOf makes the form of a step that comes so many readings after the next one.
func (v *roundView) formOf(base string, s *stepView, later int) *stepForm {
	return &stepForm{stepView: s, Base: base, File: v.File, After: len(v.Done) + later,
		Entry: rand.Text()} // its own: two devices that see the same step send two readings
}

// entries remembers which answers were taken, so that one sent twice counts once.
type entries struct {
	mu   sync.Mutex
	seen map[string]bool
}

func (e *entries) has(id string) bool {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.seen[id]
}

func (e *entries) add(id string) {
	e.mu.Lock()
	defer e.mu.Unlock()
	e.seen[id] = true
}

// enter writes a reading down.
func (s *shop) enter(d *desk) error {
	sys, err := d.system()
	if err != nil {
		return err
	}
	r, err := d.roundNamed(d.form("file"))
	if err != nil || !strings.HasPrefix(r.Name, roundPrefix) {
		return wrong{http.StatusConflict, "That round is not there any more.", "Begin a new one; what you typed is in this page still, if you go back."}
	}
	id := d.form("entry")
	if id != "" && d.entered.has(id) {
		return d.go303("/round?told=read")
	}
	if d.form("skip") != "" {
		d.skip(r.Name, d.form("step"))
		return d.go303("/round")
	}
	row, err := d.rowTyped(sys, r)
	if err != nil {
		return d.askAgain(sys, r, tellings(err), false)
	}
	if same := atoi(d.form("after")); same >= 0 && same < len(r.Rows) && id != "" && sameRow(r.Rows[same:], row) {
		d.entered.add(id) // it arrived before, and the answer got lost
		return d.go303("/round?told=read")
	}
	one := &readings.Survey{File: r.Name, Rows: []readings.Row{row}, Readings: []readings.Reading{{Open: row.Open, Point: row.Point, Quantity: row.Quantity,
		Value: row.Value, Count: 1, Instrument: row.Instrument, HoseOff: row.HoseOff, Rows: []int{0}}}}
	if err := diagnose.Fits(sys, one).Err(); err != nil {
		return d.askAgain(sys, r, tellings(err), false)
	}
	if odd := diagnose.Odd(sys, one); len(odd) > 0 && d.form("sure") == "" {
		return d.askAgain(sys, r, told(odd), true)
	}
	data, err := withRow(r.data, row, sys.Units)
	if err != nil {
		return err
	}
	if err := d.files.Write(r.Name, data, r.Version); err != nil {
		return err
	}
	if id != "" {
		d.entered.add(id)
	}
	return d.go303("/round?told=read")
}

// sameRow says whether one of rows is this very reading.
func sameRow(rows []readings.Row, row readings.Row) bool {
	return slices.ContainsFunc(rows, func(x readings.Row) bool {
		return x.Open.String() == row.Open.String() && x.Point == row.Point && x.Quantity == row.Quantity && x.Typed == row.Typed && x.Unit == row.Unit
	})
}

func (d *desk) askAgain(sys *duct.System, r *roundFile, list []telling, sure bool) error {
	v, err := d.roundView(sys, r)
	if err != nil {
		return err
	}
	for i := range list {
		list[i].Place = ""
	}
	entry := d.form("entry")
	if v.Step == nil || v.Step.Key != d.form("step") { // the round went on elsewhere: what was typed belongs to what was asked
		v.Step = d.stepAsked(sys)
	}
	if v.Step != nil {
		v.Form = v.formOf(d.base, v.Step, 0)
		v.Form.Problems, v.Form.Sure, v.Form.Typed, v.Form.Entry = list, sure, d.form("value"), cmp.Or(entry, v.Form.Entry)
	} else {
		v.Broken = list
	}
	return d.show(http.StatusUnprocessableEntity, "round", "Round", v)
}

// rowTyped is the reading as it was typed.
func (d *desk) rowTyped(sys *duct.System, r *roundFile) (readings.Row, error) {
	var row readings.Row
	q, ok := units.QuantityNamed(d.form("quantity"))
	if !ok {
		return row, wrong{http.StatusUnprocessableEntity, "There is no such quantity.", "Go back and begin the step again."}
	}
	open, err := readings.ParseOpen(d.form("open"))
	if err != nil {
		return row, err
	}
	unit := cmp.Or(d.form("unit"), q.Dimension().Symbol(sys.Units))
	text := strings.NewReplacer("−", "-", "–", "-").Replace(d.form("value"))
	if text == "" {
		return row, wrong{http.StatusUnprocessableEntity, "No value was given.", "Type what the instrument shows, or skip this reading."}
	}
	val, err := units.ParseIn(text, q.Dimension(), unit)
	var ue *units.Error
	if errors.As(err, &ue) {
		return row, wrong{http.StatusUnprocessableEntity, ue.What + ".", ue.Do}
	}
	if err != nil {
		return row, err
	}
	row = readings.Row{Date: d.Now().Format("2006-01-02"), Open: open, Point: d.form("point"), Quantity: q, Value: val.SI, Unit: val.Unit, Note: d.form("note")}
	if hose := d.form("hose_off"); hose != "" {
		row.HoseOff = strings.Split(hose, "+")
	}
	row.Instrument = instrumentFor(sys, q)
	row.Typed = strings.TrimSpace(strings.TrimRight(text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ/²³\"'% "))
	if x, err := units.ParseIn(row.Typed, q.Dimension(), row.Unit); err != nil || x.SI != row.Value {
		row.Typed = "" // it is written from Value
	}
	return row, nil
}

// instrumentFor is the first instrument that measures a quantity.
func instrumentFor(sys *duct.System, q units.Quantity) string {
	dim := q.Dimension()
	if dim == units.Flow {
		dim = units.Velocity
	}
	for _, x := range sys.Instruments {
		if x.Measures == dim {
			return x.ID
		}
	}
	return ""
}

// withRow is a round's file with one row more; what is there stays to the letter.
func withRow(data []byte, row readings.Row, u units.System) ([]byte, error) {
	lines, err := written(func(w writer) error { return readings.Write(w, []readings.Row{row}, u) })
	if err != nil {
		return nil, err
	}
	head, line, _ := bytes.Cut(lines, []byte("\n"))
	if !bytes.Contains(data, head) {
		return nil, wrong{http.StatusConflict, "Somebody changed the columns of this round's file.", "Begin a new round, or put its header row back: " + string(head)}
	}
	if !bytes.HasSuffix(data, []byte("\n")) {
		data = append(bytes.Clone(data), '\n')
	}
	return append(bytes.Clone(data), line...), nil
}

// takeBack takes the last reading out again.
func (s *shop) takeBack(d *desk) error {
	r, err := d.roundNamed(d.form("file"))
	if err != nil || !strings.HasPrefix(r.Name, roundPrefix) {
		return wrong{http.StatusConflict, "That round is not there any more.", "Begin a new one."}
	}
	if r.Version != d.form("was") {
		return ErrChanged
	}
	if len(r.Rows) == 0 {
		return d.go303("/round")
	}
	lines := bytes.SplitAfter(r.data, []byte("\n"))
	n := r.Rows[len(r.Rows)-1].Line - 1
	if n >= len(lines) {
		return ErrChanged
	}
	data := bytes.Join(append(slices.Clone(lines[:n]), lines[n+1:]...), nil)
	if err := d.files.Write(r.Name, data, r.Version); err != nil {
		return err
	}
	return d.go303("/round?told=undone")
}

// skip leaves a step out until the program is stopped.
func (d *desk) skip(file, step string) { d.entered.add("skip " + file + " " + step) }

func (d *desk) skipped(file, step string) bool { return d.entered.has("skip " + file + " " + step) }
