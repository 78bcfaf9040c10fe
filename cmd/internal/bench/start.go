package bench

import (
	"bytes"
	"fmt"
	"html/template"
	"io"
	"mime/multipart"
	"net/http"
	"path"
	"strings"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/rounds"
	"lostair/cmd/internal/bench/store"
	"lostair/cmd/internal/bench/tell"
	"lostair/diagnose/duct/edit"
	"lostair/readings/workbook"
)

// startView is the first page.
type startView struct {
	There    bool // the shop is described, at least in part
	Runs     string
	Wrong    int
	Broken   []pages.Telling // why the system file can't be read
	Surveys  []string
	Open     string // a round that is not finished
	Demo     bool   // there is a demo to go to
	Phone    bool
	Downable []string
}

func (s *shop) start(d *desk.Desk) error {
	v := startView{There: d.Doc != nil, Demo: d.Base == "" && len(s.Demo) > 0, Phone: s.Phone != nil}
	if d.Bad != nil {
		v.Broken = []pages.Telling{{Place: desk.SystemName, What: d.Bad.Error(), Do: "correct it with a text editor, or put it elsewhere and begin anew"}}
	}
	if d.Doc != nil {
		v.Runs = pages.Plural(len(d.Doc.Root.Get("ducts").Rows), "run") + ", " + pages.Plural(machinesIn(d.Doc.Root), "machine")
		v.Wrong = len(d.Problems())
	}
	v.Surveys = d.Tables()
	if len(v.Surveys) > 6 {
		v.Surveys = v.Surveys[:6]
	}
	if r, err := rounds.Last(d); err == nil && r != nil {
		v.Open = r.Words()
	}
	v.Downable, _ = d.Files.Names()
	return d.Show(http.StatusOK, "start", "Start", v)
}

// machinesIn counts the machines, each once however many ports serve it.
func machinesIn(root edit.Value) int {
	n := len(root.Get("ports").Rows)
	for _, m := range root.Get("machines").Rows {
		n -= max(len(tell.PortsOf(m))-1, 0)
	}
	return n
}

// create begins a system file from nothing.
func (s *shop) create(d *desk.Desk) error {
	if d.Data != nil || d.Bad != nil {
		return desk.Refuse(http.StatusConflict, "There is a "+desk.SystemName+" here already.", "Go on with that one, or put it elsewhere first.")
	}
	units := d.Form("units")
	if units != "us" {
		units = "metric"
	}
	name := d.Form("name")
	if name == "" {
		name = "My shop"
	}
	f, err := Blank(name, units)
	if err != nil {
		return desk.Refuse(http.StatusUnprocessableEntity, "That name can't be written into the file.", "Use letters, digits and blanks.")
	}
	if err := d.Files.Write(desk.SystemName, f.Bytes(), ""); err != nil {
		return err
	}
	return d.SeeOther("/shop?told=saved")
}

// Blank is a system file of which only the name and the units are known.
func Blank(name, units string) (*edit.File, error) {
	f, err := edit.Open([]byte(blank), desk.SystemName)
	if err != nil {
		return nil, err
	}
	changes := []edit.Change{edit.Set(edit.At("name"), edit.Scalar(name)), edit.Set(edit.At("units"), units)}
	if units == "us" {
		changes = append(changes, edit.Set(edit.At("instruments", 0, "floor"), "0.02 inH2O"), edit.Set(edit.At("instruments", 1, "floor"), "40 fpm"))
	}
	return f.Apply(changes...)
}

// blank is a shop of which nothing is known yet.
const blank = `# The duct system of this shop. The bench page writes this file, and so may you
# with any text editor: what you write as a comment stays.
name: My shop
units: metric

# The air in the room. Without a line "air": standard air.

# The collector, in order of flow: cyclone, fan, filter, room.
collector: {}

# Each row is one run of pipe or hose of one size, named, with what it flows into.
ducts: []

# Where the air comes in: one row a machine.
ports: []

# What you read with, and how far it can be off (95 % of the time). These are common
# values for a plain gauge and a vane anemometer; write those of yours.
instruments:
  - {id: gauge, measures: pressure, of_reading: 1%, floor: 5 Pa}
  - {id: vane, measures: velocity, of_reading: 3%, floor: 0.2 m/s}
`

// take puts files from the browser into the shop's folder.
func (s *shop) take(d *desk.Desk) error {
	if d.Request.MultipartForm == nil {
		return desk.Refuse(http.StatusBadRequest, "No file came along.", "Choose one or more files first.")
	}
	var files []store.File
	for _, h := range d.Request.MultipartForm.File["file"] {
		f, err := uploaded(h)
		if err != nil {
			return err
		}
		if ext := strings.ToLower(path.Ext(f.Name)); ext == ".yaml" || ext == ".yml" {
			f.Name = desk.SystemName // there is one system in a folder
		}
		files = append(files, f)
	}
	if len(files) == 0 {
		return desk.Refuse(http.StatusBadRequest, "No file came along.", "Choose one or more files first.")
	}
	for _, f := range files {
		if err := takeOne(d, f); err != nil {
			return err
		}
	}
	return d.SeeOther("/?told=opened")
}

func takeOne(d *desk.Desk, f store.File) error {
	old, err := d.Files.Read(f.Name)
	if err == nil && bytes.Equal(old, f.Data) {
		return nil
	}
	if err == nil && d.Form("replace") != "yes" {
		return desk.Refuse(http.StatusConflict, f.Name+" is here already, and it is another one.",
			"Nothing was overwritten. Rename yours, or choose it again and tick “replace what has the same name”.")
	}
	was := ""
	if err == nil {
		was = store.VersionOf(old)
	}
	if err := d.Files.Write(f.Name, f.Data, was); err != nil {
		return err
	}
	if f.Name == desk.SystemName && err == nil {
		d.Remember(old, f.Data)
	}
	return nil
}

func uploaded(h *multipart.FileHeader) (store.File, error) {
	name := path.Base(strings.ReplaceAll(h.Filename, `\`, "/"))
	if !store.Plain(name) || !store.Listed(name) {
		do := "Choose others."
		if workbook.Named(name) {
			do = "Save the sheet as CSV and choose that: what stands here grows as you read, and a workbook can't."
		}
		return store.File{}, desk.Refuse(http.StatusUnprocessableEntity, fmt.Sprintf("%q is neither a system file (.yaml) nor a table (.csv).", name), do)
	}
	in, err := h.Open()
	if err != nil {
		return store.File{}, err
	}
	defer in.Close()
	data, err := io.ReadAll(in)
	return store.File{Name: name, Data: data}, err
}

// give hands a file out, to be kept elsewhere.
func (s *shop) give(d *desk.Desk) error {
	name := d.Request.PathValue("name")
	data, err := d.Files.Read(name)
	if err != nil || !store.Plain(name) || !store.Listed(name) {
		return desk.Refuse(http.StatusNotFound, "There is no such file.", "The start page lists those that there are.")
	}
	return d.HandOut("application/octet-stream", "attachment; filename*=UTF-8''"+escaped(path.Base(name)), data)
}

func escaped(name string) string {
	var b strings.Builder
	for _, c := range []byte(name) {
		if c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c == '.' || c == '-' || c == '_' {
			b.WriteByte(c)
		} else {
			fmt.Fprintf(&b, "%%%02X", c)
		}
	}
	return b.String()
}

// phone shows a code that lets a phone in.
func (s *shop) phone(d *desk.Desk) error {
	if s.Phone == nil {
		return desk.Refuse(http.StatusNotFound, "No phone can reach this program as it was started.", "Start it with lostair serve --lan, on a network that you trust.")
	}
	link, qr := s.Phone()
	return d.Show(http.StatusOK, "phone", "Bring a phone", struct {
		Link string
		QR   template.URL // ours, not the user's
	}{link, template.URL(qr)})
}
