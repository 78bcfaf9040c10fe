package bench

import (
	"bytes"
	"cmp"
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"net/http"
	"path"
	"slices"
	"strings"
	"sync"

	"lostair/diagnose/duct"
	"lostair/diagnose/duct/edit"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
	"lostair/report/guided"
)

// roundFile is a round as its readings file has it.
type roundFile struct {
	Name      string
	Version   string
	Complaint string
	Rows      []readings.Row // looks among them, as they stand in the file
	survey    *readings.Survey
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
		if strings.HasPrefix(path.Base(n), roundPrefix) && !strings.Contains(n, "/") && !strings.HasSuffix(n, afterSuffix) {
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
	r.Complaint = readings.ComplaintIn(string(data))
	r.survey, _ = readings.Read(bytes.NewReader(data), name, d.units())
	r.Rows = append(slices.Clone(r.survey.Rows), r.survey.Looks...)
	slices.SortStableFunc(r.Rows, func(a, b readings.Row) int { return a.Line - b.Line })
	return r, nil
}

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
	Proof     string    // how far the proof of a repair is that was begun
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
	Open, Gates     string // the gates as the file has them, and in words
	Changed         bool   // they stand otherwise than before
	Point, Quantity string
	Ask             string // what to read or look at, and where
	Unit            string
	HoseOff         string
	Range           string // what sound systems show
	Why             string
	Drill           *drillView // of a hole that is not there
	Tap             bool       // a hole of the shop's file is asked for
	How             []string
	Safety          string
	Units           []string
	Key             string // tells this step from others
	InPlaceOf       string // key of the step in whose place it is asked
	Ways            []wayView
	Look            bool // answered by yes or no
}

// drillView is a hole to drill first.
type drillView struct{ Duct, Tap, At, Unit string }

// wayView is another way to read a step, and where it is asked for.
type wayView struct{ Name, What, To string }

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
	b := &beginning{Earlier: r}
	for _, c := range round.Complaints(sys) {
		if c.Kind == round.WeakPort {
			b.Weak = append(b.Weak, c.Port)
		} else {
			b.Others = append(b.Others, c.String())
		}
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
	head, err := written(func(w io.Writer) error { return readings.Write(w, nil, d.units()) })
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
		v.Done = append(v.Done, doneView{doneWords(&row), strings.TrimSpace(row.Typed + " " + symbol(row.Unit))})
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
		v.Again = d.askedFor(r.Rows[n-1], "")
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

// doneWords say what was read or looked at.
func doneWords(row *readings.Row) string {
	if row.Look != "" {
		return fmt.Sprintf("%s, %s", row.Point, strings.ReplaceAll(row.What(), "_", " "))
	}
	s := fmt.Sprintf("%s, %s", row.Point, guided.Open(row.Open.String()))
	if len(row.HoseOff) > 0 {
		s += ", hose off " + strings.Join(row.HoseOff, " and ")
	}
	return s
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
	To, Of     string // where it is sent, and the survey that it is a proof for
	Instead    string // the value that would fit, with its unit
}

// formOf makes the form of a step that comes so many readings after the next one.
func (v *roundView) formOf(base string, s *stepView, later int) *stepForm {
	return &stepForm{stepView: s, Base: base, To: "/round/read", File: v.File, After: len(v.Done) + later,
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
		return d.skip(r)
	}
	x, err := d.roundAt(sys, r)
	if err != nil {
		return d.askAgain(sys, r, tellings(err), nil)
	}
	q, ok := d.asked(x, d.offered(x))
	if !ok {
		return wrong{http.StatusUnprocessableEntity, "There is no such reading.", "Go back and begin the step again."}
	}
	if q.NewTap != nil {
		return wrong{http.StatusUnprocessableEntity, "That hole is not in the shop's file yet.", "Go back, and say that it is there."}
	}
	row, explicit, err := d.rowTyped(x, &q)
	if err != nil {
		return d.askAgain(sys, r, tellings(err), nil)
	}
	if same := atoi(d.form("after")); same >= 0 && same < len(r.Rows) && id != "" && sameRow(r.Rows[same:], row) {
		d.entered.add(id) // it arrived before, and the answer got lost
		return d.go303("/round?told=read")
	}
	doubt, odd, err := x.Judge(&q, &row, explicit)
	if err != nil {
		return d.askAgain(sys, r, tellings(err), nil)
	}
	if odd && d.form("sure") == "" && d.form("instead") == "" {
		return d.askAgain(sys, r, []telling{{What: strings.TrimSuffix(guided.Doubts(doubt, &q, sys.Units), "."), Warning: true}}, &doubt)
	}
	data, err := q.Written(r.data, row, sys.Units)
	if err != nil {
		return wrong{http.StatusConflict, "Somebody changed the columns of this round's file.", err.Error() + "."}
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
		return x.Open.String() == row.Open.String() && x.Point == row.Point && x.Quantity == row.Quantity && x.Look == row.Look && x.Typed == row.Typed && x.Unit == row.Unit
	})
}

// askAgain shows the step again, with what is wrong with what was typed; doubt: what
// may have slipped, so that it may be right as it is.
func (d *desk) askAgain(sys *duct.System, r *roundFile, list []telling, doubt *round.Doubt) error {
	v, err := d.roundView(sys, r)
	if err != nil {
		return err
	}
	if v.Step == nil || v.Step.Key != d.form("step") { // the round went on elsewhere: what was typed belongs to what was asked
		if x, err := d.roundAt(sys, r); err == nil {
			if q, ok := d.asked(x, d.offered(x)); ok {
				v.Step = d.stepFor(sys, &q)
				v.Step.Ways = d.waysOf(sys, &q)
			}
		}
	}
	if v.Step != nil {
		v.Form = v.formOf(d.base, v.Step, 0)
		v.Form.again(d, placeless(list), doubt)
	} else {
		v.Broken = placeless(list)
	}
	return d.show(http.StatusUnprocessableEntity, "round", "Round", v)
}

// again makes a form that was sent ask once more, with what is wrong with what was typed.
func (f *stepForm) again(d *desk, list []telling, doubt *round.Doubt) {
	f.Problems, f.Sure, f.Typed, f.Entry = list, doubt != nil, d.form("value"), cmp.Or(d.form("entry"), f.Entry)
	if u := d.form("unit"); slices.Contains(f.Units, u) { // the value that stands there is in it
		step := *f.stepView
		step.Unit, f.stepView = u, &step
	}
	if doubt != nil && doubt.Row != nil {
		f.Instead = strings.TrimSpace(doubt.Row.Typed + " " + doubt.Row.Unit)
	}
}

// placeless are problems without the place in a file: they stand at what was typed.
func placeless(list []telling) []telling {
	for i := range list {
		list[i].Place = ""
	}
	return list
}

// rowTyped is the answer as it was typed, or what would fit in its place.
func (d *desk) rowTyped(x *round.Round, q *round.Question) (readings.Row, bool, error) {
	row, explicit, err := x.Typed(q, cmp.Or(d.form("instead"), d.form("value")), d.form("unit"))
	var ue *units.Error
	switch {
	case errors.As(err, &ue):
		return row, false, wrong{http.StatusUnprocessableEntity, ue.What + ".", ue.Do}
	case errors.Is(err, round.ErrNoValue):
		return row, false, wrong{http.StatusUnprocessableEntity, "No value was given.", "Type what the instrument shows, or skip this reading."}
	case err != nil:
		return row, false, wrong{http.StatusUnprocessableEntity, err.Error() + ".", ""}
	}
	row.Date, _ = readings.Today(d.Now())
	row.Note = d.form("note")
	return row, explicit, nil
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
	data, err := readings.RemoveLast(r.data, r.Rows[len(r.Rows)-1].Line)
	if err != nil {
		return ErrChanged
	}
	if err := d.files.Write(r.Name, data, r.Version); err != nil {
		return err
	}
	return d.go303("/round?told=undone")
}

// skip remembers in the file that a step is not to be asked, or a point not at all.
func (d *desk) skip(r *roundFile) error {
	left, ok := d.leftOut()
	if !ok {
		return wrong{http.StatusUnprocessableEntity, "There is no such step.", "Go back to the round."}
	}
	data := readings.AppendComment(r.data, left.String())
	if err := d.files.Write(r.Name, data, r.Version); err != nil {
		return err
	}
	return d.go303("/round")
}

// leftOut is what a form says is not to be asked.
func (d *desk) leftOut() (round.Left, bool) {
	step, point := cmp.Or(d.form("in_place_of"), d.form("step")), d.form("point")
	if !strings.Contains(step, "|") || len(step) > mostStep {
		return round.Left{}, false
	}
	switch why := d.form("skip"); {
	case why != "reach" && why != "no tap":
		return round.Left{Key: step, Why: round.Skipped}, true
	case point == "" || strings.Contains(point, "|") || len(point) > mostStep:
		return round.Left{}, false
	case why == "reach":
		return round.Left{Point: point, Why: round.OutReach}, true
	}
	return round.Left{Point: point, Why: round.NoSuchTap}, true
}

// drilled writes a hole that was asked for into the shop's file, and asks for its reading.
func (s *shop) drilled(d *desk) error {
	sys, err := d.system()
	if err != nil {
		return err
	}
	n, ok := sys.DuctNamed(d.form("duct"))
	open, err := readings.ParseOpen(d.form("open"))
	if !ok || err != nil {
		return wrong{http.StatusUnprocessableEntity, "There is no such run.", "Go back to the round."}
	}
	id := sys.FreshTap(n)
	to := strings.TrimPrefix(d.askedFor(readings.Row{Open: open, Point: d.form("tap"), Quantity: units.StaticPressure}, ""), d.base)
	if _, _, there := sys.TapAt(d.form("tap")); there {
		return d.go303(to) // sent twice
	}
	if id != d.form("tap") {
		return wrong{http.StatusConflict, "The shop's file was changed meanwhile.", "Go back to the round."}
	}
	at, err := units.Parse(d.form("at"), units.Length, sys.Units)
	if err != nil {
		return tapWrong(err)
	}
	f, err := edit.WithTap(d.data, systemName, sys.Ducts[n].ID, id, at.SI)
	if err != nil {
		return tapWrong(err)
	}
	if err := d.save(f); err != nil {
		return err
	}
	return d.go303(to)
}

// tapWrong says why a hole can't be where it was said to be.
func tapWrong(err error) error {
	var u *units.Error
	var list problem.List
	switch {
	case errors.As(err, &u):
		return wrong{http.StatusUnprocessableEntity, u.What + ".", u.Do}
	case errors.As(err, &list):
		p := list.Errors()[0]
		return wrong{http.StatusUnprocessableEntity, p.What + ".", p.Do}
	}
	return err
}

// mostStep bounds the key of a step.
const mostStep = 400
