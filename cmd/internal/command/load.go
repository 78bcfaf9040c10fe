package command

import (
	"fmt"
	"slices"

	"github.com/spf13/cobra"

	"lostair/cmd/internal/console"
	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/systemfile"
	"lostair/readings"
	"lostair/readings/dates"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// Loaded is what a command's files hold.
type Loaded struct {
	Sys       *duct.System
	Surveys   []*readings.Survey
	Baselines []*readings.Survey
	Warnings  problem.List
}

// Load reads all files before it gives up, so that every problem is told at
// once; warnings go to the user either way. The error is a problem.List.
func Load(s console.Streams, system string, surveys, baselines []string) (*Loaded, error) {
	l, err := Gather(s, system, surveys, baselines)
	if err != nil {
		return nil, err
	}
	console.Tell(s, l.Warnings)
	return l, nil
}

// Gather reads all files. With an error, which is a problem.List of all that is
// wrong, the system is nil or the surveys hold what could be read of them.
func Gather(s console.Streams, system string, surveys, baselines []string) (*Loaded, error) {
	sys, list := systemfile.LoadFile(system)
	l := &Loaded{Sys: sys}
	u := units.Metric
	if sys != nil {
		u = sys.Units
	}
	var parts []problem.List
	read := func(files []string) []*readings.Survey {
		var out []*readings.Survey
		for _, f := range files {
			v, more := readSurvey(s, f, u)
			if sys != nil {
				more = append(more, diagnose.Understand(sys, v)...)
				more.Sort()
				more = more.InSheet(v.File, v.Sheet)
			}
			out, parts = append(out, v), append(parts, more)
		}
		return out
	}
	l.Surveys, l.Baselines = read(surveys), read(baselines)
	if all := slices.Concat(append([]problem.List{list}, parts...)...); all.Err() == nil {
		l.Warnings = all
		return l, nil
	}
	return l, l.wrong(list, parts)
}

// wrong is what is wrong with the system, list, and with the surveys, parts, and
// with the ids of these too, in file order.
func (l *Loaded) wrong(list problem.List, parts []problem.List) problem.List {
	files := slices.Concat(l.Surveys, l.Baselines)
	out := slices.Clone(list)
	for i, v := range files {
		part := slices.Clone(parts[i])
		if l.Sys != nil {
			part = append(part, diagnose.Fits(l.Sys, v)...)
			part.Sort()
		}
		out = append(out, part.InSheet(v.File, v.Sheet)...)
	}
	if l.Sys == nil && len(files) > 0 {
		out = append(out, problem.Problem{File: files[0].File, Warning: true,
			What: "whether the system has the gates, points and instruments of the readings is not looked at yet", Do: "correct the system file first"})
	}
	return out
}

func readSurvey(s console.Streams, file string, u units.System) (*readings.Survey, problem.List) {
	order := dates.Any
	if s.Dates != nil {
		order = *s.Dates
	}
	if file == "-" {
		return readings.ReadIn(s.In, "-", u, order)
	}
	return readings.ReadFileIn(file, u, order)
}

// StdinOnce refuses to read standard input twice, or as the system file.
func StdinOnce(cmd *cobra.Command, inputs []string) error {
	n := 0
	for i, in := range inputs {
		if in != "-" {
			continue
		}
		if n++; n > 1 || i == 0 {
			return Misuse(cmd, fmt.Errorf("- stands for one readings file; give the others by name"))
		}
	}
	return nil
}
