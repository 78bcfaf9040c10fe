package bench

import (
	"cmp"
	"fmt"
	"net/http"

	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
	"lostair/diagnose/duct/edit"
)

func (s *shop) askWord(d *desk) error {
	if err := d.needsShop(); err != nil {
		return err
	}
	p, err := d.place()
	if err != nil {
		return err
	}
	q, err := d.question(p)
	if err != nil {
		return err
	}
	return d.show(http.StatusOK, "shop-word", q.Title, q)
}

// setWord takes an answer.
func (s *shop) setWord(d *desk) error {
	if err := d.needsShop(); err != nil {
		return err
	}
	p, err := d.place()
	if err != nil {
		return err
	}
	changes, err := d.changesFor(p)
	if err != nil {
		return d.again(p, err)
	}
	if len(changes) == 0 {
		return d.go303(d.backTo(p))
	}
	f, err := d.doc.Apply(changes...)
	if err != nil {
		return d.again(p, err)
	}
	if list := d.newlyWrong(f, p); len(list) > 0 {
		return d.again(p, list)
	}
	if was, shown := d.r.Form["was"]; shown && was[0] != canon(p.value) && d.form("anyway") == "" && canon(valueAt(f, p)) != canon(p.value) {
		q, err := d.question(p)
		if err != nil {
			return err
		}
		q.Clash = &clash{Theirs: cmp.Or(canon(p.value), "nothing"), Yours: cmp.Or(canon(valueAt(f, p)), "nothing")}
		q.Was = canon(p.value)
		return d.show(http.StatusConflict, "shop-word", q.Title, q)
	}
	if err := d.save(f); err != nil {
		return err
	}
	if p.key == "id" {
		p.id = valueAt(f, p).Text
	}
	return d.go303(d.backTo(p))
}

// again asks once more, with what is wrong with the answer.
func (d *desk) again(p place, err error) error {
	q, qerr := d.question(p)
	if qerr != nil {
		return qerr
	}
	q.Problems = tellings(err)
	if q.Typed != nil && d.form("value") != "" {
		q.Typed.Value = d.form("value")
	}
	for i := range q.Parts {
		if t := q.Parts[i].Typed; t != nil {
			t.Value = cmp.Or(d.form(q.Parts[i].Name), t.Value)
		}
	}
	return d.show(http.StatusUnprocessableEntity, "shop-word", q.Title, q)
}

// tryWord says what would be wrong with an answer, as it is typed.
func (s *shop) tryWord(d *desk) error {
	if err := d.needsShop(); err != nil {
		return err
	}
	p, err := d.place()
	if err != nil {
		return err
	}
	var list []pages.Telling
	changes, err := d.changesFor(p)
	if err == nil && len(changes) > 0 {
		var f *edit.File
		if f, err = d.doc.Apply(changes...); err == nil {
			list = pages.Told(d.newlyWrong(f, p))
		}
	}
	if err != nil {
		list = tellings(err)
	}
	return d.showProblems(list)
}

// undo takes the last change back.
func (s *shop) undo(d *desk) error {
	last, n := d.undoing.last()
	if n == 0 {
		return wrong{http.StatusConflict, "There is nothing to take back.", "Changes can be taken back until the program is stopped."}
	}
	if store.VersionOf(d.data) != last.after {
		return wrong{http.StatusConflict, systemName + " was changed by something else since.", "Taking back would lose that change, so nothing is done."}
	}
	if err := d.files.Write(systemName, last.before, last.after); err != nil {
		return err
	}
	d.undoing.pop()
	return d.go303("/shop?told=undone")
}

// remove takes a run out, with the machine at its end.
func (s *shop) remove(d *desk) error {
	if err := d.needsShop(); err != nil {
		return err
	}
	p, err := d.place()
	if err != nil {
		return err
	}
	var changes []edit.Change
	if p.list == "ducts" {
		for _, r := range d.doc.Root.Get("ducts").Rows {
			if r.Get("into").Text == p.id && p.id != "" {
				return wrong{http.StatusConflict, fmt.Sprintf("%s flows into it.", r.Get("id").Text), "Take that out first, or let it flow into another run."}
			}
		}
		ports := d.doc.Root.Get("ports").Rows
		for i := len(ports) - 1; i >= 0; i-- {
			if ports[i].Get("duct").Text == p.id && p.id != "" {
				changes = append(append(changes, d.apart(ports[i].Get("id").Text)...), edit.Delete(edit.At("ports", i)))
			}
		}
	}
	if p.list == "ports" {
		changes = append(changes, d.apart(p.id)...)
	}
	changes = append(changes, edit.Delete(edit.At(p.list, p.row)))
	f, err := d.doc.Apply(changes...)
	if err != nil {
		return err
	}
	if err := d.save(f); err != nil {
		return err
	}
	return d.go303("/shop?told=removed")
}
