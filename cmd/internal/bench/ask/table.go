package ask

import (
	"io"
	"net/http"
	"path"
	"strings"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/tell"
	"lostair/cmd/internal/runs"
	"lostair/diagnose/duct/edit"
	"lostair/readings/workbook"
)

// tableName is what a table from the page is called in what is said of it.
const tableName = "table"

type tableView struct {
	Text     string
	Columns  []runs.Column
	Runs     []runs.Run
	Sentence []*tell.Run // what was understood
	Problems []pages.Telling
	Version  string
}

// Table asks for a table of runs.
func Table(d *desk.Desk) error {
	if err := d.NeedsShop(); err != nil {
		return err
	}
	return d.Show(http.StatusOK, "shop-table", "A table", &tableView{Columns: runs.Columns()})
}

// TakeTable shows what is understood of a table, and then takes it.
func TakeTable(d *desk.Desk) error {
	if err := d.NeedsShop(); err != nil {
		return err
	}
	text := d.Request.FormValue("table")
	if d.Request.MultipartForm != nil {
		for _, h := range d.Request.MultipartForm.File["file"] {
			in, err := h.Open()
			if err != nil {
				return err
			}
			data, err := io.ReadAll(in)
			in.Close()
			if err != nil {
				return err
			}
			if text, err = textOf(data, h.Filename); err != nil {
				return err
			}
		}
	}
	v := &tableView{Text: text, Columns: runs.Columns()}
	list, wrong := runs.Read([]byte(text), tableName)
	v.Problems = pages.Told(wrong)
	if wrong.Err() != nil {
		return d.Show(http.StatusUnprocessableEntity, "shop-table", "A table", v)
	}
	f, wrong := runs.Onto(d.Doc, list, tableName)
	if wrong.Err() != nil {
		v.Problems = append(v.Problems, pages.Told(wrong)...)
		return d.Show(http.StatusUnprocessableEntity, "shop-table", "A table", v)
	}
	if d.Form("take") == "" {
		v.Runs, v.Sentence = list, understood(d, f)
		return d.Show(http.StatusOK, "shop-table", "A table", v)
	}
	if err := d.Save(f); err != nil {
		return err
	}
	return d.SeeOther("/shop?told=added")
}

// textOf is a table as text, that of a workbook as CSV, so that the page can show it.
func textOf(data []byte, name string) (string, error) {
	if !workbook.Is(data) {
		return string(data), nil
	}
	list, bad := runs.Read(data, path.Base(strings.ReplaceAll(name, `\`, "/")))
	if err := bad.Err(); err != nil {
		return "", desk.Refuse(http.StatusUnprocessableEntity, err.Error(), "Or paste the table's cells into the box.")
	}
	return string(runs.Write(list)), nil
}

// understood tells the runs that a file has more than the one there is.
func understood(d *desk.Desk, f *edit.File) []*tell.Run {
	had := map[string]bool{}
	for _, r := range d.Doc.Root.Get("ducts").Rows {
		had[r.Get("id").Text] = true
	}
	then := d.With(f)
	w := tell.NewWording(then, then.Problems())
	var out []*tell.Run
	for _, r := range w.Runs() {
		if !had[r.ID] {
			out = append(out, r)
		}
	}
	return out
}

// GiveTable hands the runs out as a table.
func GiveTable(d *desk.Desk) error {
	if err := d.NeedsShop(); err != nil {
		return err
	}
	return d.HandOut("text/csv; charset=utf-8", `attachment; filename="ducts.csv"`, runs.Write(runs.Of(d.Doc.Root)))
}
