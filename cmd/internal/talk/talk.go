// Package talk is a guided round as a conversation in lines: it asks, takes what is
// typed, checks it on the spot, and keeps each answer on the disk before it asks on.
// It works with a terminal and with a script alike.
package talk

import (
	"io"

	"lostair/diagnose/duct"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/show"
)

// Talk is a conversation. Its files say where the round stands.
type Talk struct {
	System    *duct.System
	Readings  File // the round's
	Baselines []*readings.Survey
	Complaint string // "": asked for, if the file does not say
	Date      string // of what is written, ISO; "": no date
	Units     units.System

	In    io.Reader
	Out   io.Writer
	Style show.Style
	Echo  bool // repeat what is typed, where no terminal does

	Held func(release func()) // told how to let go of the file, for a process that ends early; may be nil

	in        *typing
	complaint round.Complaint
	planned   []readings.Row // once worked out
	more      bool           // go on though it is enough
	note      string
	typed     string // typed to an earlier question, and not dealt with
	asked     int
	want      *readings.Row // to be asked for next, whatever else would tell more; nil: nothing
}
