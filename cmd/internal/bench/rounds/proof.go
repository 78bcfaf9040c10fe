package rounds

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
	"lostair/cmd/internal/bench/tell"
	"lostair/diagnose/duct"
	"lostair/diagnose/repair"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/repairs"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/guided"
)

// The proof of a repair: when the first remedy of an answer is done, the two or three
// readings that spoke loudest for the fault are taken again. They stand in a file beside
// the survey, so that a proof goes on where it was left.

// proving is where a proof stands.
type proving struct {
	*round.Round
	of    string // the survey before the repair
	after *File
	left  []round.Question
}

// provingOf is the proof of what the answer to a survey says to do first.
func provingOf(d *desk.Desk, sys *duct.System, survey string) (*proving, error) {
	if !slices.Contains(d.Tables(), survey) {
		return nil, desk.Refuse(http.StatusNotFound, "There are no such readings.", "Choose some under Answer.")
	}
	before, list := d.Survey(survey, sys.Units)
	if err := list.Err(); err != nil {
		return nil, err
	}
	sound := desk.OfAGoodDay(d.Tables())
	if sound == survey {
		sound = ""
	}
	a, err := d.Diagnosis(survey, sound)
	if err != nil {
		return nil, err
	}
	x := round.Situation{System: sys, Survey: before, Standing: a.SI}
	if sound != "" {
		good, list := d.Survey(sound, sys.Units)
		if err := list.Err(); err != nil {
			return nil, err
		}
		x.Baselines = []*readings.Survey{good}
	}
	text, err := d.Files.Read(survey)
	if err != nil {
		return nil, err
	}
	if c, err := round.ParseComplaint(sys, readings.ComplaintIn(string(text))); err == nil {
		x.Complaint = c
	}
	p := &proving{of: survey}
	if p.Round, err = round.Begin(d.Context(), x); err != nil {
		return nil, err
	}
	p.after, err = roundNamed(d, afterName(survey))
	if errors.Is(err, fs.ErrNotExist) {
		data := readings.Start(round.Complaint{Kind: round.AfterRepair}.Comment())
		p.after, err = &File{Name: afterName(survey), survey: &readings.Survey{}, data: data}, nil
	}
	if err != nil {
		return nil, err
	}
	p.left = p.Proof(p.after.survey, round.LeftIn(string(p.after.data))...)
	return p, nil
}

// Provable says whether readings can prove what the answer says to do first.
func Provable(a *desk.Answered) bool {
	r := round.Round{Situation: round.Situation{System: a.SI.System, Survey: a.SI.Survey, Standing: a.SI}}
	return r.Provable()
}

type proofView struct {
	Of, File string
	Do       string // the remedy
	Count    string // which reading of how many
	Form     *stepForm
	Picture  *tell.Picture
	Problems []pages.Telling
	Said     string // what the repair has brought
	Rows     []proofRow
	Ports    []proofPort
	Logged   bool
	Nothing  bool // nothing was read
}

// proofRow is a reading before and after.
type proofRow struct{ What, Before, After, Sound string }

// proofPort is the air of a port before and after.
type proofPort struct{ Port, Before, After, Need, More string }

// Proof asks for the next reading that proves a repair, or says what it has brought.
func (b *Book) Proof(d *desk.Desk) error {
	sys, err := d.System()
	if err != nil {
		return err
	}
	p, err := provingOf(d, sys, d.Form("survey"))
	if err != nil {
		return err
	}
	v, err := b.proofView(d, sys, p)
	if err != nil {
		return err
	}
	return d.Show(http.StatusOK, "round-proof", "Did it help?", v)
}

func (b *Book) proofView(d *desk.Desk, sys *duct.System, p *proving) (*proofView, error) {
	v := &proofView{Of: p.of, File: p.after.Name}
	all := p.Proof(nil)
	if p.Remedy() == nil || len(all) == 0 {
		return nil, desk.Refuse(http.StatusNotFound, "There is nothing here that readings could prove.", "Write the repair into the log under Health, and take a short round.")
	}
	v.Do = report.From(p.Standing.Result, sys.Units).Fixes[0].Do
	for i := range all {
		v.Rows = append(v.Rows, p.rowOf(sys, &all[i]))
	}
	if len(p.left) == 0 {
		return v, b.outcome(d, sys, p, v)
	}
	q := &p.left[0]
	v.Count = fmt.Sprintf("Reading %d of %d", len(all)-len(p.left)+1, len(all))
	step := stepFor(d, sys, q)
	v.Form = formOf(d.Base, p.after.Name, step, len(p.after.Rows))
	v.Form.To, v.Form.Of = "/round/proof", p.of
	v.Picture = tell.Draw(d, nil, spotOf(sys, step.Point), map[string][]tell.Lit{step.Point: {{Class: "chosen"}}})
	return v, nil
}

// rowOf is a reading of the proof before and after, as both were typed.
func (p *proving) rowOf(sys *duct.System, q *round.Question) proofRow {
	typed := func(s *readings.Survey) string {
		for i := range s.Rows {
			if round.KeyOf(&s.Rows[i]) == q.Key() {
				return pages.Minus(strings.TrimSpace(s.Rows[i].Typed + " " + pages.Symbol(s.Rows[i].Unit)))
			}
		}
		return ""
	}
	return proofRow{What: doneWords(&q.Row) + ", " + guided.Quantity(q.Row.Quantity), Before: typed(p.Survey), After: typed(p.after.survey), Sound: pages.Minus(guided.Range(q, sys.Units))}
}

// outcome says what the repair has brought.
func (b *Book) outcome(d *desk.Desk, sys *duct.System, p *proving, v *proofView) error {
	if len(p.after.survey.Readings) == 0 {
		v.Nothing = true
		return nil
	}
	x, err := b.prove(d, p)
	if err != nil {
		return err
	}
	v.Said = pages.Minus(guided.Proved(x, p.Complaint, sys.Units))
	for _, port := range x.Ports {
		v.Ports = append(v.Ports, portProved(sys, port))
	}
	was, err := d.Files.Read(repairs.File)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	is, err := repairs.Append(was, guided.Entry(p.Round, x, p.date(), sys.Units))
	v.Logged = err == nil && bytes.Equal(is, was)
	return nil
}

// prove compares the survey before the repair with the readings after it.
func (b *Book) prove(d *desk.Desk, p *proving) (*round.Proved, error) {
	key := strings.Join([]string{store.VersionOf(d.Data), p.of, store.Version(d.Files, p.of), p.after.Version, desk.OfAGoodDay(d.Tables())}, "|")
	b.proved.mu.Lock()
	defer b.proved.mu.Unlock()
	if b.proved.key == key {
		return b.proved.is, nil
	}
	x, err := p.Prove(d.Context(), p.after.survey)
	if err != nil {
		return nil, err
	}
	b.proved.key, b.proved.is = key, x
	return x, nil
}

// date is when the repair was proved, as its readings have it.
func (p *proving) date() string {
	at := ""
	for i := range p.after.Rows {
		at = cmp.Or(p.after.Rows[i].Date, at)
	}
	return at
}

func portProved(sys *duct.System, x repair.Port) proofPort {
	air := func(v float64) string {
		return units.FormatBare(v, units.Flow, sys.Units) + " " + pages.Symbol(units.Flow.Symbol(sys.Units))
	}
	out := proofPort{Port: x.Port, Before: air(x.Before.Value), After: air(x.After.Value), More: guided.Chance(x.More)}
	if x.Need > 0 {
		out.Need = air(x.Need)
	}
	return out
}

// ReadProof writes a reading of the proof down; with the last one the repair goes into the log.
func (b *Book) ReadProof(d *desk.Desk) error {
	sys, err := d.System()
	if err != nil {
		return err
	}
	p, err := provingOf(d, sys, d.Form("of"))
	if err != nil {
		return err
	}
	to := "/round/proof?survey=" + url.QueryEscape(p.of)
	id := d.Form("entry")
	at := slices.IndexFunc(p.left, func(q round.Question) bool { return q.Key() == d.Form("step") })
	if at < 0 || id != "" && b.entered.has(id) {
		return d.SeeOther(to) // it was read already
	}
	q := &p.left[at]
	data := []byte(nil)
	if d.Form("skip") != "" {
		left, ok := leftOut(d)
		if !ok {
			return d.SeeOther(to)
		}
		data = readings.AppendComment(p.after.data, left.String())
	} else if data, err = b.provingRow(d, sys, p, q); data == nil || err != nil {
		return err // the page has said why
	}
	if err := d.Files.Write(p.after.Name, data, p.after.Version); err != nil {
		return err
	}
	if id != "" {
		b.entered.add(id)
	}
	if p, err = provingOf(d, sys, p.of); err != nil {
		return err
	}
	if len(p.left) == 0 && len(p.after.survey.Readings) > 0 {
		if err := b.logProved(d, sys, p); err != nil {
			return err
		}
	}
	return d.SeeOther(to)
}

// provingRow is the file of the proof with the reading that was typed; nil if it was not
// taken and the page says why.
func (b *Book) provingRow(d *desk.Desk, sys *duct.System, p *proving, q *round.Question) ([]byte, error) {
	fresh, err := round.Begin(d.Context(), round.Situation{System: sys}) // mended, it reads otherwise than before
	if err != nil {
		return nil, err
	}
	row, explicit, err := rowTyped(d, fresh, q)
	if err != nil {
		return nil, b.proofAgain(d, sys, p, desk.Tellings(err), nil)
	}
	doubt, odd, err := fresh.Judge(q, &row, explicit)
	if err != nil {
		return nil, b.proofAgain(d, sys, p, desk.Tellings(err), nil)
	}
	if odd && d.Form("sure") == "" && d.Form("instead") == "" {
		return nil, b.proofAgain(d, sys, p, []pages.Telling{{What: strings.TrimSuffix(guided.Doubts(doubt, q, sys.Units), "."), Warning: true}}, &doubt)
	}
	data, err := readings.Append(p.after.data, row, sys.Units)
	if err != nil {
		return nil, desk.Refuse(http.StatusConflict, "Somebody changed the columns of this round's file.", err.Error()+".")
	}
	return data, nil
}

// proofAgain asks once more, with what is wrong with what was typed.
func (b *Book) proofAgain(d *desk.Desk, sys *duct.System, p *proving, list []pages.Telling, doubt *round.Doubt) error {
	v, err := b.proofView(d, sys, p)
	if err != nil {
		return err
	}
	if v.Form != nil {
		v.Form.again(d, placeless(list), doubt)
	}
	return d.Show(http.StatusUnprocessableEntity, "round-proof", "Did it help?", v)
}

// logProved writes what was mended and what it brought into the log of repairs.
func (b *Book) logProved(d *desk.Desk, sys *duct.System, p *proving) error {
	x, err := b.prove(d, p)
	if err != nil {
		return err
	}
	was, err := d.Files.Read(repairs.File)
	version := ""
	switch {
	case err == nil:
		version = store.VersionOf(was)
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	is, err := repairs.Append(was, guided.Entry(p.Round, x, p.date(), sys.Units))
	if err != nil || bytes.Equal(is, was) {
		return nil // the page says if it is not in the log
	}
	return d.Files.Write(repairs.File, is, version)
}
