package ask

import (
	"cmp"
	"fmt"
	"net/http"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/diagnose/duct/edit"
)

// Word asks for what a word of the shop's sentences says.
func Word(d *desk.Desk) error {
	if err := d.NeedsShop(); err != nil {
		return err
	}
	p, err := placeAsked(d)
	if err != nil {
		return err
	}
	q, err := questionAt(d, p)
	if err != nil {
		return err
	}
	return d.Show(http.StatusOK, "shop-word", q.Title, q)
}

// SetWord takes an answer.
func SetWord(d *desk.Desk) error {
	if err := d.NeedsShop(); err != nil {
		return err
	}
	p, err := placeAsked(d)
	if err != nil {
		return err
	}
	changes, err := changesFor(d, p)
	if err != nil {
		return askAgain(d, p, err)
	}
	if len(changes) == 0 {
		return d.SeeOther(backTo(d, p))
	}
	f, err := d.Doc.Apply(changes...)
	if err != nil {
		return askAgain(d, p, err)
	}
	if list := newlyWrong(d, f, p); len(list) > 0 {
		return askAgain(d, p, list)
	}
	if was, shown := d.Request.Form["was"]; shown && was[0] != canon(p.value) && d.Form("anyway") == "" && canon(valueAt(f, p)) != canon(p.value) {
		q, err := questionAt(d, p)
		if err != nil {
			return err
		}
		q.Clash = &clash{Theirs: cmp.Or(canon(p.value), "nothing"), Yours: cmp.Or(canon(valueAt(f, p)), "nothing")}
		q.Was = canon(p.value)
		return d.Show(http.StatusConflict, "shop-word", q.Title, q)
	}
	if err := d.Save(f); err != nil {
		return err
	}
	if p.key == "id" {
		p.id = valueAt(f, p).Text
	}
	return d.SeeOther(backTo(d, p))
}

// askAgain asks once more, with what is wrong with the answer.
func askAgain(d *desk.Desk, p place, err error) error {
	q, qerr := questionAt(d, p)
	if qerr != nil {
		return qerr
	}
	q.Problems = desk.Tellings(err)
	if q.Typed != nil && d.Form("value") != "" {
		q.Typed.Value = d.Form("value")
	}
	for i := range q.Parts {
		if t := q.Parts[i].Typed; t != nil {
			t.Value = cmp.Or(d.Form(q.Parts[i].Name), t.Value)
		}
	}
	return d.Show(http.StatusUnprocessableEntity, "shop-word", q.Title, q)
}

// TryWord says what would be wrong with an answer, as it is typed.
func TryWord(d *desk.Desk) error {
	if err := d.NeedsShop(); err != nil {
		return err
	}
	p, err := placeAsked(d)
	if err != nil {
		return err
	}
	var list []pages.Telling
	changes, err := changesFor(d, p)
	if err == nil && len(changes) > 0 {
		var f *edit.File
		if f, err = d.Doc.Apply(changes...); err == nil {
			list = pages.Told(newlyWrong(d, f, p))
		}
	}
	if err != nil {
		list = desk.Tellings(err)
	}
	return d.ShowProblems(list)
}

// Undo takes the last change back.
func Undo(d *desk.Desk) error {
	if err := d.Undo(); err != nil {
		return err
	}
	return d.SeeOther("/shop?told=undone")
}

// Remove takes a run out, with the machine at its end.
func Remove(d *desk.Desk) error {
	if err := d.NeedsShop(); err != nil {
		return err
	}
	p, err := placeAsked(d)
	if err != nil {
		return err
	}
	var changes []edit.Change
	if p.list == "ducts" {
		for _, r := range d.Doc.Root.Get("ducts").Rows {
			if r.Get("into").Text == p.id && p.id != "" {
				return desk.Refuse(http.StatusConflict, fmt.Sprintf("%s flows into it.", r.Get("id").Text), "Take that out first, or let it flow into another run.")
			}
		}
		ports := d.Doc.Root.Get("ports").Rows
		for i := len(ports) - 1; i >= 0; i-- {
			if ports[i].Get("duct").Text == p.id && p.id != "" {
				changes = append(append(changes, apart(d, ports[i].Get("id").Text)...), edit.Delete(edit.At("ports", i)))
			}
		}
	}
	if p.list == "ports" {
		changes = append(changes, apart(d, p.id)...)
	}
	changes = append(changes, edit.Delete(edit.At(p.list, p.row)))
	f, err := d.Doc.Apply(changes...)
	if err != nil {
		return err
	}
	if err := d.Save(f); err != nil {
		return err
	}
	return d.SeeOther("/shop?told=removed")
}
