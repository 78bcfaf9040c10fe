package bench

import "net/http"

type printView struct{ Surveys []string }

func (s *shop) print(d *desk) error {
	if _, err := d.system(); err != nil {
		return err
	}
	v := printView{Surveys: d.readable()}
	if len(v.Surveys) > 12 {
		v.Surveys = v.Surveys[:12]
	}
	return d.show(http.StatusOK, "print", "Print", v)
}

// sheet shows the field sheet, as lostair sheet does.
func (s *shop) sheet(d *desk) error {
	sys, err := d.system()
	if err != nil {
		return err
	}
	page, err := d.fieldSheet(sys, d.form("round") == "usual")
	if err != nil {
		return err
	}
	return d.showReport(page)
}
