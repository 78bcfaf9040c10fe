package track_test

import (
	"bytes"
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/track"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
	"lostair/readings"
	"lostair/readings/repairs"
)

// numbers are those of a value that holds nothing else, as text.
func numbers(v reflect.Value) (out []string, ok bool) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			more, ok := numbers(v.Field(i))
			if !ok || !v.Type().Field(i).IsExported() {
				return nil, false
			}
			out = append(out, more...)
		}
		return out, true
	case reflect.Float64:
		return []string{fmt.Sprintf("%.7g", v.Float())}, true
	case reflect.Bool:
		if v.Bool() {
			return []string{"1"}, true
		}
		return []string{"0"}, true
	case reflect.Int:
		return []string{fmt.Sprint(v.Int())}, true
	case reflect.Uint8:
		return []string{fmt.Sprint(v.Uint())}, true
	}
	return nil, false
}

// put writes all numbers and names of a value, a line each. Systems and surveys, which
// hang on pointers, are given and not found.
func put(w *bytes.Buffer, name string, v reflect.Value) {
	if all, ok := numbers(v); ok {
		fmt.Fprintf(w, "%s: %s\n", name, strings.Join(all, " "))
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() && f.Type != reflect.TypeFor[time.Time]() {
				put(w, name+" "+f.Name, v.Field(i))
			}
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			put(w, fmt.Sprint(name, " ", i), v.Index(i))
		}
	case reflect.String:
		fmt.Fprintf(w, "%s %q:\n", name, v.String())
	}
}

// history is what is given to follow.
type history struct {
	sys     *duct.System
	surveys []*readings.Survey
	opt     track.Options
}

// recorded are histories that between them go every way that following one can take: what
// grows, loads and is mended, two things in one drop, a reading written ten times too
// large, and a hose that clogs beside a slip of the pen.
func recorded(t *testing.T) []history {
	var out []history
	for i, o := range []trial.HistoryOptions{
		{Surveys: 16, Ports: 5, At: 8, Event: trial.GrowingLeak, Off: trial.Options{Style: survey.Rich}},
		{Surveys: 14, Ports: 4, At: 10, Event: trial.Mend, Kind: "blockage", Stays: "leak", Off: trial.Options{Style: survey.Rich}},
		{Surveys: 14, Ports: 4, At: 8, Event: trial.LoadingFilter, Off: trial.Options{Style: survey.Rich}},
	} {
		h, err := trial.NewHistory(uint64(1000+i), o)
		require.NoError(t, err)
		out = append(out, history{h.System, kit.SurveysOf(h), track.Options{Full: -1, Reference: 8}})
	}
	h, _ := story(t, 9011, trial.Happening{Kind: trial.Leak, From: 6}, trial.Happening{Kind: trial.GateRestricted, From: 11, SameRun: true})
	out = append(out, history{h.System, kit.SurveysOf(h), track.Options{Full: -1}})
	h, all := story(t, 9019, trial.Happening{Kind: trial.GateRestricted, From: 5, To: 9})
	surveys := kit.SurveysOf(h)
	surveys[12] = written(surveys[12], 3, 10)
	dateOf := func(k int) time.Time {
		d, ok := readings.DateOf(surveys[k])
		require.True(t, ok)
		return d
	}
	out = append(out, history{h.System, surveys, track.Options{Full: -1, Repairs: []repairs.Repair{
		{Date: dateOf(2), Where: all[0].Where}, {Date: dateOf(9), Where: all[0].Where}}}})
	sys, clogged := cloggedHose(t)
	out = append(out, history{sys, append(clogged, slipOf(clogged[0])), track.Options{Full: -1}})
	return out
}

// written is a survey with one value written so many times too large.
func written(s *readings.Survey, row int, times float64) *readings.Survey {
	out := *s
	out.Rows, out.Readings = slices.Clone(s.Rows), slices.Clone(s.Readings)
	out.Rows[row].Value *= times
	for i := range out.Readings {
		if slices.Equal(out.Readings[i].Rows, []int{row}) {
			out.Readings[i].Value *= times
		}
	}
	return &out
}

// What is said of some histories is what was said when it was last looked at: charts,
// signals, trends and episodes, number by number. That they are right is for the other tests.
func TestHistoriesAreAsOnRecord(t *testing.T) {
	var w bytes.Buffer
	for i, x := range recorded(t) {
		tr, err := track.Follow(t.Context(), x.sys, x.surveys, x.opt)
		require.NoError(t, err)
		put(&w, fmt.Sprint(i), reflect.ValueOf(struct {
			Surveys  []track.Survey
			Series   []track.Series
			Signals  []track.Signal
			Episodes []track.Episode
			PerYear  float64
		}{tr.Surveys, tr.Series, tr.Signals, tr.Episodes, tr.PerYear}))
	}
	kit.OnRecord(t, "testdata/histories.txt", w.String())
}
