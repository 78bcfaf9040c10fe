package rounds

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"net/http"
	"slices"
	"strings"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
	"lostair/cmd/internal/bench/tell"
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
	Picture   *tell.Picture
	Broken    []pages.Telling // why no reading can be asked for
	Was       string          // version of the file
	Proof     string          // how far the proof of a repair is that was begun
	coming    []*stepView
}

type beginning struct {
	Weak    []string
	Others  []string
	Earlier *File
}

// Show asks for the next reading of the newest round, or what a new one is for.
func (b *Book) Show(d *desk.Desk) error {
	sys, err := d.System()
	if err != nil {
		return err
	}
	r, err := Last(d)
	if err != nil {
		return err
	}
	if r == nil || d.Form("new") != "" {
		return d.Show(http.StatusOK, "round", "Round", begin(d, sys, r))
	}
	v, err := b.roundView(d, sys, r)
	if err != nil {
		return err
	}
	return d.Show(http.StatusOK, "round", "Round", v)
}

func begin(d *desk.Desk, sys *duct.System, r *File) *roundView {
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

// Begin makes the file of a new round.
func (b *Book) Begin(d *desk.Desk) error {
	if _, err := d.System(); err != nil {
		return err
	}
	complaint := strings.Map(func(r rune) rune {
		if r < ' ' {
			return ' '
		}
		return r
	}, cmp.Or(d.Form("complaint"), "everything is weak"))
	if len(complaint) > 120 {
		complaint = complaint[:120]
	}
	head, err := pages.Written(func(w io.Writer) error { return readings.Write(w, nil, d.Units()) })
	if err != nil {
		return err
	}
	day := d.Now().Format("2006-01-02")
	for n := 1; n < 100; n++ {
		name := roundPrefix + day + ".csv"
		if n > 1 {
			name = fmt.Sprintf("%s%s-%02d.csv", roundPrefix, day, n)
		}
		err := d.Files.Write(name, append([]byte(roundHead+complaint+".\n"), head...), "")
		if errors.Is(err, store.ErrChanged) {
			continue // it is there already
		}
		if err != nil {
			return err
		}
		return d.SeeOther("/round")
	}
	return desk.Refuse(http.StatusConflict, "There are a hundred rounds of today.", "Put some of their files elsewhere.")
}

func (b *Book) roundView(d *desk.Desk, sys *duct.System, r *File) (*roundView, error) {
	v := &roundView{File: r.Name, Complaint: r.Complaint, Was: r.Version}
	for _, row := range r.Rows {
		v.Done = append(v.Done, doneView{doneWords(&row), strings.TrimSpace(row.Typed + " " + pages.Symbol(row.Unit))})
	}
	slices.Reverse(v.Done)
	if err := b.stepOf(d, sys, r, v); err != nil {
		var list problem.List
		if !errors.As(err, &list) {
			return nil, err
		}
		v.Broken = pages.Told(list)
		return v, nil
	}
	if n := len(r.Rows); n > 0 {
		v.Again = askedFor(d, r.Rows[n-1], "")
	}
	v.Other = others(sys)
	if v.Step != nil {
		v.Form = formOf(d.Base, v.File, v.Step, len(v.Done))
		spot := spotOf(sys, v.Step.Point)
		marks := map[string][]tell.Lit{v.Step.Point: {{Class: "chosen"}}}
		v.Picture = tell.Draw(d, nil, spot, marks)
	}
	for i, x := range v.coming {
		v.Ahead = append(v.Ahead, formOf(d.Base, v.File, x, len(v.Done)+i+1))
	}
	return v, nil
}

// roundAt is where a round stands.
func (b *Book) roundAt(d *desk.Desk, sys *duct.System, r *File) (*round.Round, error) {
	x := round.Situation{System: sys, Survey: r.survey, Left: round.LeftIn(string(r.data))}
	if c, err := round.ParseComplaint(sys, r.Complaint); err == nil {
		x.Complaint = c
	}
	var err error
	if x.Planned, err = b.aroundRound(d, sys); err != nil {
		return nil, err
	}
	if len(r.survey.Readings) > 0 {
		a, err := d.Diagnosis(r.Name, desk.OfAGoodDay(d.Tables()))
		if err != nil {
			return nil, err
		}
		x.Standing = a.SI
	}
	return round.Begin(d.Context(), x)
}

// stepOf finds the next step of a round, and what the readings so far say.
func (b *Book) stepOf(d *desk.Desk, sys *duct.System, r *File, v *roundView) error {
	x, err := b.roundAt(d, sys, r)
	if err != nil {
		return err
	}
	if x.Standing != nil {
		a, err := d.Diagnosis(r.Name, desk.OfAGoodDay(d.Tables()))
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
		m, err := x.Means(d.Context(), r.Rows[n-1])
		if err != nil {
			return err
		}
		v.Last = pages.Minus(guided.Means(m, sys.Units))
	}
	list, err := x.Questions(d.Context(), 1+ahead)
	if err != nil {
		return err
	}
	if d.Request.Method == http.MethodGet {
		if q, ok := questionAsked(d, x, list); ok {
			list = slices.DeleteFunc(list, func(o round.Question) bool { return o.Key() == q.Key() || o.Key() == q.Instead })
			list = append([]round.Question{q}, list...)
		}
	}
	for i := range list {
		s := stepFor(d, sys, &list[i])
		s.Ways = waysOf(d, sys, &list[i])
		if v.Step == nil {
			v.Step = s
			continue
		}
		v.coming = append(v.coming, s)
	}
	if slices.Contains(d.Tables(), afterName(r.Name)) {
		p, err := provingOf(d, sys, r.Name)
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

// Enter writes a reading down.
func (b *Book) Enter(d *desk.Desk) error {
	sys, err := d.System()
	if err != nil {
		return err
	}
	r, err := roundNamed(d, d.Form("file"))
	if err != nil || !strings.HasPrefix(r.Name, roundPrefix) {
		return desk.Refuse(http.StatusConflict, "That round is not there any more.", "Begin a new one; what you typed is in this page still, if you go back.")
	}
	id := d.Form("entry")
	if id != "" && b.entered.has(id) {
		return d.SeeOther("/round?told=read")
	}
	if d.Form("skip") != "" {
		return skip(d, r)
	}
	x, err := b.roundAt(d, sys, r)
	if err != nil {
		return b.askAgain(d, sys, r, desk.Tellings(err), nil)
	}
	q, ok := questionAsked(d, x, offered(d, x))
	if !ok {
		return desk.Refuse(http.StatusUnprocessableEntity, "There is no such reading.", "Go back and begin the step again.")
	}
	if q.NewTap != nil {
		return desk.Refuse(http.StatusUnprocessableEntity, "That hole is not in the shop's file yet.", "Go back, and say that it is there.")
	}
	row, explicit, err := rowTyped(d, x, &q)
	if err != nil {
		return b.askAgain(d, sys, r, desk.Tellings(err), nil)
	}
	if same := pages.Whole(d.Form("after")); same >= 0 && same < len(r.Rows) && id != "" && sameRow(r.Rows[same:], row) {
		b.entered.add(id) // it arrived before, and the answer got lost
		return d.SeeOther("/round?told=read")
	}
	doubt, odd, err := x.Judge(&q, &row, explicit)
	if err != nil {
		return b.askAgain(d, sys, r, desk.Tellings(err), nil)
	}
	if odd && d.Form("sure") == "" && d.Form("instead") == "" {
		return b.askAgain(d, sys, r, []pages.Telling{{What: strings.TrimSuffix(guided.Doubts(doubt, &q, sys.Units), "."), Warning: true}}, &doubt)
	}
	data, err := q.Written(r.data, row, sys.Units)
	if err != nil {
		return desk.Refuse(http.StatusConflict, "Somebody changed the columns of this round's file.", err.Error()+".")
	}
	if err := d.Files.Write(r.Name, data, r.Version); err != nil {
		return err
	}
	if id != "" {
		b.entered.add(id)
	}
	return d.SeeOther("/round?told=read")
}

// sameRow says whether one of rows is this very reading.
func sameRow(rows []readings.Row, row readings.Row) bool {
	return slices.ContainsFunc(rows, func(x readings.Row) bool {
		return x.Open.String() == row.Open.String() && x.Point == row.Point && x.Quantity == row.Quantity && x.Look == row.Look && x.Typed == row.Typed && x.Unit == row.Unit
	})
}

// askAgain shows the step again, with what is wrong with what was typed; doubt: what
// may have slipped, so that it may be right as it is.
func (b *Book) askAgain(d *desk.Desk, sys *duct.System, r *File, list []pages.Telling, doubt *round.Doubt) error {
	v, err := b.roundView(d, sys, r)
	if err != nil {
		return err
	}
	if v.Step == nil || v.Step.Key != d.Form("step") { // the round went on elsewhere: what was typed belongs to what was asked
		if x, err := b.roundAt(d, sys, r); err == nil {
			if q, ok := questionAsked(d, x, offered(d, x)); ok {
				v.Step = stepFor(d, sys, &q)
				v.Step.Ways = waysOf(d, sys, &q)
			}
		}
	}
	if v.Step != nil {
		v.Form = formOf(d.Base, v.File, v.Step, len(v.Done))
		v.Form.again(d, placeless(list), doubt)
	} else {
		v.Broken = placeless(list)
	}
	return d.Show(http.StatusUnprocessableEntity, "round", "Round", v)
}

// TakeBack takes the last reading out again.
func (b *Book) TakeBack(d *desk.Desk) error {
	r, err := roundNamed(d, d.Form("file"))
	if err != nil || !strings.HasPrefix(r.Name, roundPrefix) {
		return desk.Refuse(http.StatusConflict, "That round is not there any more.", "Begin a new one.")
	}
	if r.Version != d.Form("was") {
		return store.ErrChanged
	}
	if len(r.Rows) == 0 {
		return d.SeeOther("/round")
	}
	data, err := readings.RemoveLast(r.data, r.Rows[len(r.Rows)-1].Line)
	if err != nil {
		return store.ErrChanged
	}
	if err := d.Files.Write(r.Name, data, r.Version); err != nil {
		return err
	}
	return d.SeeOther("/round?told=undone")
}

// skip remembers in the file that a step is not to be asked, or a point not at all.
func skip(d *desk.Desk, r *File) error {
	left, ok := leftOut(d)
	if !ok {
		return desk.Refuse(http.StatusUnprocessableEntity, "There is no such step.", "Go back to the round.")
	}
	data := readings.AppendComment(r.data, left.String())
	if err := d.Files.Write(r.Name, data, r.Version); err != nil {
		return err
	}
	return d.SeeOther("/round")
}

// Drill writes a hole that was asked for into the shop's file, and asks for its reading.
func (b *Book) Drill(d *desk.Desk) error {
	sys, err := d.System()
	if err != nil {
		return err
	}
	n, ok := sys.DuctNamed(d.Form("duct"))
	open, err := readings.ParseOpen(d.Form("open"))
	if !ok || err != nil {
		return desk.Refuse(http.StatusUnprocessableEntity, "There is no such run.", "Go back to the round.")
	}
	id := sys.FreshTap(n)
	to := strings.TrimPrefix(askedFor(d, readings.Row{Open: open, Point: d.Form("tap"), Quantity: units.StaticPressure}, ""), d.Base)
	if _, _, there := sys.TapAt(d.Form("tap")); there {
		return d.SeeOther(to) // sent twice
	}
	if id != d.Form("tap") {
		return desk.Refuse(http.StatusConflict, "The shop's file was changed meanwhile.", "Go back to the round.")
	}
	at, err := units.Parse(d.Form("at"), units.Length, sys.Units)
	if err != nil {
		return tapWrong(err)
	}
	f, err := edit.WithTap(d.Data, desk.SystemName, sys.Ducts[n].ID, id, at.SI)
	if err != nil {
		return tapWrong(err)
	}
	if err := d.Save(f); err != nil {
		return err
	}
	return d.SeeOther(to)
}

// tapWrong says why a hole can't be where it was said to be.
func tapWrong(err error) error {
	var u *units.Error
	var list problem.List
	switch {
	case errors.As(err, &u):
		return desk.Refuse(http.StatusUnprocessableEntity, u.What+".", u.Do)
	case errors.As(err, &list):
		p := list.Errors()[0]
		return desk.Refuse(http.StatusUnprocessableEntity, p.What+".", p.Do)
	}
	return err
}
