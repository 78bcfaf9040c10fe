package bench

import (
	"io"
	"net/http"
	"path"
	"strings"

	"lostair/cmd/internal/bench/pages"
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
	Sentence []*runView // what was understood
	Problems []pages.Telling
	Version  string
}

func (s *shop) askTable(d *desk) error {
	if err := d.needsShop(); err != nil {
		return err
	}
	return d.show(http.StatusOK, "shop-table", "A table", &tableView{Columns: runs.Columns()})
}

// takeTable shows what is understood of a table, and then takes it.
func (s *shop) takeTable(d *desk) error {
	if err := d.needsShop(); err != nil {
		return err
	}
	text := d.r.FormValue("table")
	if d.r.MultipartForm != nil {
		for _, h := range d.r.MultipartForm.File["file"] {
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
		return d.show(http.StatusUnprocessableEntity, "shop-table", "A table", v)
	}
	f, wrong := runs.Onto(d.doc, list, tableName)
	if wrong.Err() != nil {
		v.Problems = append(v.Problems, pages.Told(wrong)...)
		return d.show(http.StatusUnprocessableEntity, "shop-table", "A table", v)
	}
	if d.form("take") == "" {
		v.Runs, v.Sentence = list, d.understood(f)
		return d.show(http.StatusOK, "shop-table", "A table", v)
	}
	if err := d.save(f); err != nil {
		return err
	}
	return d.go303("/shop?told=added")
}

// textOf is a table as text, that of a workbook as CSV, so that the page can show it.
func textOf(data []byte, name string) (string, error) {
	if !workbook.Is(data) {
		return string(data), nil
	}
	list, bad := runs.Read(data, path.Base(strings.ReplaceAll(name, `\`, "/")))
	if err := bad.Err(); err != nil {
		return "", wrong{http.StatusUnprocessableEntity, err.Error(), "Or paste the table's cells into the box."}
	}
	return string(runs.Write(list)), nil
}

// understood tells the runs that a file has more than the one there is.
func (d *desk) understood(f *edit.File) []*runView {
	had := map[string]bool{}
	for _, r := range d.doc.Root.Get("ducts").Rows {
		had[r.Get("id").Text] = true
	}
	then := &desk{shop: d.shop, w: d.w, r: d.r, data: f.Bytes(), doc: f}
	w := &wording{d: then, at: placed(then.problems())}
	var out []*runView
	for _, r := range w.runs() {
		if !had[r.ID] {
			out = append(out, r)
		}
	}
	return out
}

// giveTable hands the runs out as a table.
func (s *shop) giveTable(d *desk) error {
	if err := d.needsShop(); err != nil {
		return err
	}
	return d.handOut("text/csv; charset=utf-8", `attachment; filename="ducts.csv"`, runs.Write(runs.Of(d.doc.Root)))
}
