package talk

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"lostair/diagnose/duct/edit"
	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// drilled writes a tap that somebody has drilled into the system file, whole or not at
// all, and goes on with it; done: it stands there.
func (t *Talk) drilled(text string, q *round.Question) (done bool, err error) {
	at, err := round.TapSaid(t.System, text, q.NewTap)
	if err != nil {
		return false, t.say(wrong(err))
	}
	d, ok := t.System.DuctNamed(at.Duct)
	if !ok {
		return false, t.say(fmt.Sprintf("There is no duct %s.", at.Duct))
	}
	id := t.System.FreshTap(d)
	asked := q.NewTap != nil && q.NewTap.Duct == at.Duct
	if asked {
		id = q.Row.Point
	}
	file := File{t.System.File, t.Readings.Write}
	with := func(was []byte) ([]byte, error) {
		f, err := edit.WithTap(was, t.System.File, at.Duct, id, at.At)
		if err != nil {
			return nil, err
		}
		return f.Bytes(), nil
	}
	was, err := file.Read()
	if err == nil {
		_, err = with(was)
	}
	if err != nil {
		return false, t.say("The tap is not written in: " + because(err) + ".")
	}
	if err := t.keep(&file, with); err != nil {
		return false, err
	}
	sys, list := systemfile.LoadFile(t.System.File)
	if err := list.Err(); err != nil {
		return false, err // somebody else wrote it at this moment
	}
	t.System = sys
	if asked {
		t.want = &readings.Row{Open: q.Row.Open, HoseOff: q.Row.HoseOff, Point: id, Quantity: q.Row.Quantity, Value: math.NaN()}
	}
	return true, t.say(fmt.Sprintf("Written into %s: the tap %s on %s, %s from its far end.", file.Path, id, at.Duct, units.Format(at.At, units.Length, sys.Units)))
}

// because is why a file can't be changed, in one line.
func because(err error) string {
	var list problem.List
	if !errors.As(err, &list) {
		return err.Error()
	}
	var say []string
	for _, p := range list.Errors() {
		say = append(say, p.What)
		if p.Do != "" {
			say = append(say, p.Do)
		}
	}
	return strings.Join(say, "; ")
}
