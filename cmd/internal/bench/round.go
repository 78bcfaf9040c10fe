package bench

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"

	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/edit"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
	"lostair/report/guided"
)

type roundView struct {
	File      string
	Complaint string
	Begin     *beginning
	Step      *stepView
	Form      *stepForm
	Ahead     []*stepForm // what is asked for if the connection is gone
	Done      []doneView
	Says      string
	Suspects  []pages.Suspect
	Last      string // what the last reading says
	Again     string
	Other     *otherView
	Enough    string
	Picture   *picture
	Broken    []pages.Telling // why no reading can be asked for
	Was       string          // version of the file
	Proof     string          // how far the proof of a repair is that was begun
	coming    []*stepView
}

type beginning struct {
	Weak     []string
	Others   []string
	Earlier  *roundFile
	Finished string
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
	head, err := pages.Written(func(w io.Writer) error { return readings.Write(w, nil, d.units()) })
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
		if errors.Is(err, store.ErrChanged) {
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
		v.Done = append(v.Done, doneView{doneWords(&row), strings.TrimSpace(row.Typed + " " + pages.Symbol(row.Unit))})
	}
	slices.Reverse(v.Done)
	if err := d.stepOf(sys, r, v); err != nil {
		var list problem.List
		if !errors.As(err, &list) {
			return nil, err
		}
		v.Broken = pages.Told(list)
		return v, nil
	}
	if n := len(r.Rows); n > 0 {
		v.Again = d.askedFor(r.Rows[n-1], "")
	}
	v.Other = others(sys)
	if v.Step != nil {
		v.Form = formOf(d.base, v.File, v.Step, len(v.Done))
		spot := spotOf(sys, v.Step.Point)
		marks := map[string][]lit{v.Step.Point: {{class: "chosen"}}}
		v.Picture = d.picture(nil, spot, marks)
	}
	for i, x := range v.coming {
		v.Ahead = append(v.Ahead, formOf(d.base, v.File, x, len(v.Done)+i+1))
	}
	return v, nil
}

// roundAt is where a round stands.
func (d *desk) roundAt(sys *duct.System, r *roundFile) (*round.Round, error) {
	x := round.Situation{System: sys, Survey: r.survey, Left: round.LeftIn(string(r.data))}
	if c, err := round.ParseComplaint(sys, r.Complaint); err == nil {
		x.Complaint = c
	}
	var err error
	if x.Planned, err = d.aroundRound(sys); err != nil {
		return nil, err
	}
	if len(r.survey.Readings) > 0 {
		a, err := d.diagnosis(r.Name, ofAGoodDay(d.tables()))
		if err != nil {
			return nil, err
		}
		x.Standing = a.SI
	}
	return round.Begin(d.r.Context(), x)
}

// stepOf finds the next step of a round, and what the readings so far say.
func (d *desk) stepOf(sys *duct.System, r *roundFile, v *roundView) error {
	x, err := d.roundAt(sys, r)
	if err != nil {
		return err
	}
	if x.Standing != nil {
		a, err := d.diagnosis(r.Name, ofAGoodDay(d.tables()))
		if err != nil {
			return err
		}
		v.Says = a.Shown.Answer.Broken
		for i, s := range guided.Suspects(a.Shown) {
			v.Suspects = append(v.Suspects, pages.Suspect{N: fmt.Sprint(i + 1), Name: s.Name, Share: s.Chance})
		}
		if e := x.Enough(); e.Yes {
			v.Enough = guided.Enough(e, a.Shown, x.Missed())
		}
	}
	if n := len(r.Rows); n > 0 {
		m, err := x.Means(d.r.Context(), r.Rows[n-1])
		if err != nil {
			return err
		}
		v.Last = pages.Minus(guided.Means(m, sys.Units))
	}
	list, err := x.Questions(d.r.Context(), 1+ahead)
	if err != nil {
		return err
	}
	if d.r.Method == http.MethodGet {
		if q, ok := d.asked(x, list); ok {
			list = slices.DeleteFunc(list, func(o round.Question) bool { return o.Key() == q.Key() || o.Key() == q.Instead })
			list = append([]round.Question{q}, list...)
		}
	}
	for i := range list {
		s := d.stepFor(sys, &list[i])
		s.Ways = d.waysOf(sys, &list[i])
		if v.Step == nil {
			v.Step = s
			continue
		}
		v.coming = append(v.coming, s)
	}
	if slices.Contains(d.tables(), afterName(r.Name)) {
		p, err := d.provingOf(sys, r.Name)
		if err != nil {
			return err
		}
		v.Proof = "See what the repair has brought"
		if n := len(p.left); n > 0 {
			v.Proof = fmt.Sprintf("Go on proving the repair: %s to take", pages.Plural(n, "reading"))
		}
	}
	if v.Step == nil && v.Enough == "" {
		v.Enough = "That is the whole round: there is nothing more to read that would tell much."
	}
	return nil
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
	if same := pages.Whole(d.form("after")); same >= 0 && same < len(r.Rows) && id != "" && sameRow(r.Rows[same:], row) {
		d.entered.add(id) // it arrived before, and the answer got lost
		return d.go303("/round?told=read")
	}
	doubt, odd, err := x.Judge(&q, &row, explicit)
	if err != nil {
		return d.askAgain(sys, r, tellings(err), nil)
	}
	if odd && d.form("sure") == "" && d.form("instead") == "" {
		return d.askAgain(sys, r, []pages.Telling{{What: strings.TrimSuffix(guided.Doubts(doubt, &q, sys.Units), "."), Warning: true}}, &doubt)
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
func (d *desk) askAgain(sys *duct.System, r *roundFile, list []pages.Telling, doubt *round.Doubt) error {
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
		v.Form = formOf(d.base, v.File, v.Step, len(v.Done))
		v.Form.again(d, placeless(list), doubt)
	} else {
		v.Broken = placeless(list)
	}
	return d.show(http.StatusUnprocessableEntity, "round", "Round", v)
}

// takeBack takes the last reading out again.
func (s *shop) takeBack(d *desk) error {
	r, err := d.roundNamed(d.form("file"))
	if err != nil || !strings.HasPrefix(r.Name, roundPrefix) {
		return wrong{http.StatusConflict, "That round is not there any more.", "Begin a new one."}
	}
	if r.Version != d.form("was") {
		return store.ErrChanged
	}
	if len(r.Rows) == 0 {
		return d.go303("/round")
	}
	data, err := readings.RemoveLast(r.data, r.Rows[len(r.Rows)-1].Line)
	if err != nil {
		return store.ErrChanged
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
