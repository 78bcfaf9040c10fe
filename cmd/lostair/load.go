package main

import (
	"fmt"

	"lostair/diagnose/duct"
	"lostair/readings"
	"lostair/readings/problem"
	"lostair/readings/units"
)

// loaded is what a command's files hold.
type loaded struct {
	sys       *duct.System
	surveys   []*readings.Survey
	baselines []*readings.Survey
	warnings  problem.List
}

// load reads all files before it gives up, so that every problem is told at
// once; warnings go to the user either way. The error is a problem.List.
func load(s streams, system string, surveys, baselines []string) (*loaded, error) {
	sys, list := duct.LoadFile(system)
	l := &loaded{sys: sys}
	if sys == nil {
		return nil, append(list, unitless(s, append(surveys, baselines...))...)
	}
	for _, f := range surveys {
		l.surveys = append(l.surveys, loadSurvey(s, f, sys, &list))
	}
	for _, f := range baselines {
		l.baselines = append(l.baselines, loadSurvey(s, f, sys, &list))
	}
	if err := list.Err(); err != nil {
		return nil, err
	}
	l.warnings = list
	tell(s, list)
	return l, nil
}

// unitless checks surveys of a system that can't be read as far as that goes
// without it.
func unitless(s streams, files []string) problem.List {
	var list problem.List
	for _, f := range files {
		_, more := readSurvey(s, f, units.Metric)
		list = append(list, more...)
	}
	return list
}

func loadSurvey(s streams, file string, sys *duct.System, list *problem.List) *readings.Survey {
	v, more := readSurvey(s, file, sys.Units)
	*list = append(*list, more...)
	return v
}

func readSurvey(s streams, file string, u units.System) (*readings.Survey, problem.List) {
	if file == "-" {
		return readings.Load(s.in, "-", u)
	}
	return readings.LoadFile(file, u)
}

// unitsOf is the unit system that the user asks for; given as "", the file's.
func unitsOf(text string, file units.System) (units.System, error) {
	for _, u := range []units.System{units.Metric, units.US} {
		if text == u.String() {
			return u, nil
		}
	}
	if text == "" {
		return file, nil
	}
	return file, fmt.Errorf("there is no system of units %q; use metric or us", text)
}
