package bench

import (
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"slices"
	"strings"
	"time"

	"lostair/cmd/internal/bench/desk"
	"lostair/cmd/internal/bench/pages"
	"lostair/cmd/internal/bench/store"
	"lostair/readings/dates"
	"lostair/readings/repairs"
)

type healthView struct {
	Surveys  int
	Signals  []string // what has moved, the first few
	More     []string
	Story    []string // what broke and what was mended
	Calm     bool
	Doubts   []string
	Left     []pages.Telling
	Repairs  []repairView
	Days     []dayView
	Places   []string
	Kinds    []string
	Did      bool
	Today    string
	Problems []pages.Telling
	Kind     string // of the repair that is to be written down
	Spot     string
	Readable []string
}

type repairView struct{ Date, What, Where, Action, Note string }

type dayView struct{ Date, File string }

func (s *shop) health(d *desk.Desk) error {
	v, err := healthOf(d)
	if err != nil {
		return err
	}
	return d.Show(http.StatusOK, "health", "Health", v)
}

func healthOf(d *desk.Desk) (*healthView, error) {
	sys, err := d.System()
	if err != nil {
		return nil, err
	}
	v := &healthView{Did: d.Form("did") != "", Kinds: []string{"leak", "blockage", "gate-restricted", "gate-leaking", "filter-loaded", "fan-weak"}}
	v.Today, _ = dates.Today(d.Now())
	for _, x := range sys.Ducts {
		v.Places = append(v.Places, x.ID)
		if x.Gate != "" {
			v.Places = append(v.Places, x.Gate)
		}
	}
	v.Places = append(v.Places, "bin", "filter", "fan")
	names := d.Readable()
	v.Kind, v.Spot, v.Readable = d.Form("kind"), d.Form("where"), names[:min(len(names), 30)]
	t, left, err := trackedOf(d, names)
	if err != nil {
		v.Left = append(v.Left, desk.Tellings(err)...)
	}
	v.Left = append(v.Left, left...)
	if t != nil {
		v.Surveys = len(t.Surveys)
		v.Calm = t.Calm()
		v.Signals, v.Doubts = movedWords(t), t.Doubts
		v.Story = storyOf(t)
		if len(v.Signals) > 3 {
			v.Signals, v.More = v.Signals[:3], v.Signals[3:]
		}
		for _, x := range t.Surveys {
			v.Days = append(v.Days, dayView{x.Date, x.File})
		}
	}
	log, bad, err := d.Repairs()
	v.Left = append(v.Left, bad...)
	for _, x := range slices.Backward(log) {
		v.Repairs = append(v.Repairs, repairView{x.Date.Format(time.DateOnly), x.Kind, x.Where, x.Action, x.Note})
	}
	return v, err
}

func trackedOf(d *desk.Desk, names []string) (*trackedShop, []pages.Telling, error) {
	sys, err := d.System()
	if err != nil {
		return nil, nil, err
	}
	return followed(d, sys, names)
}

// history shows the whole history, as lostair track --format html does.
func (s *shop) history(d *desk.Desk) error {
	t, _, err := trackedOf(d, d.Readable())
	if err != nil {
		return err
	}
	if t == nil {
		return desk.Refuse(http.StatusNotFound, "There are no two dated surveys yet.", "Take a round now and another in a month.")
	}
	page, err := trackPage(t)
	if err != nil {
		return err
	}
	return d.ShowReport(page)
}

// repair shows whether a repair helped, as lostair track --before --after does.
func (s *shop) repair(d *desk.Desk) error {
	sys, err := d.System()
	if err != nil {
		return err
	}
	page, err := helped(d, sys, d.Form("before"), d.Form("after"))
	if err != nil {
		return err
	}
	return d.ShowReport(page)
}

// logRepair writes a repair into the log.
func (s *shop) logRepair(d *desk.Desk) error {
	again := func(what, do string) error {
		v, err := healthOf(d)
		if err != nil {
			return err
		}
		v.Problems, v.Did = []pages.Telling{{What: what, Do: do}}, true
		return d.Show(http.StatusUnprocessableEntity, "health", "Health", v)
	}
	row := []string{d.Form("date"), d.Form("kind"), d.Form("where"), d.Form("action"), d.Form("note")}
	if row[0] == "" || row[3] == "" {
		return again("A repair needs its date and what was done.", "Fill both in.")
	}
	if _, err := time.Parse(time.DateOnly, row[0]); err != nil {
		return again(fmt.Sprintf("%q is not a date.", row[0]), "Write it as "+d.Now().Format(time.DateOnly)+".")
	}
	for i := range row {
		row[i] = strings.Map(func(r rune) rune {
			if r < ' ' {
				return ' '
			}
			return r
		}, row[i])
	}
	data, err := d.Files.Read(repairs.File)
	was := ""
	switch {
	case errors.Is(err, fs.ErrNotExist):
	case err != nil:
		return err
	default:
		was = store.VersionOf(data)
	}
	data, err = repairs.Append(data, repairs.Row{Date: row[0], Kind: row[1], Where: row[2], Action: row[3], Note: row[4]})
	if err != nil {
		return again(repairs.File+" can't be added to: "+err.Error()+".", "Put it right, or put it elsewhere.")
	}
	if err := d.Files.Write(repairs.File, data, was); err != nil {
		return err
	}
	return d.SeeOther("/health?told=logged")
}
