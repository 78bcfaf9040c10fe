package bench

import (
	"net/http"

	"lostair/cmd/internal/bench/desk"
)

type printView struct{ Surveys []string }

func (s *shop) print(d *desk.Desk) error {
	if _, err := d.System(); err != nil {
		return err
	}
	v := printView{Surveys: d.Readable()}
	if len(v.Surveys) > 12 {
		v.Surveys = v.Surveys[:12]
	}
	return d.Show(http.StatusOK, "print", "Print", v)
}

// sheet shows the field sheet, as lostair sheet does.
func (s *shop) sheet(d *desk.Desk) error {
	sys, err := d.System()
	if err != nil {
		return err
	}
	page, err := s.fieldSheet(d, sys, d.Form("round") == "usual")
	if err != nil {
		return err
	}
	return d.ShowReport(page)
}
