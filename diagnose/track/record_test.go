package track_test

import (
	"bytes"
	"fmt"
	"reflect"
	"strings"
	"testing"
	"time"

	"lostair/diagnose/internal/kit"
	"lostair/diagnose/track"
	"lostair/diagnose/trial"
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

// What is said of three histories is what was said when it was last looked at: charts, signals,
// trends and episodes, number by number. That they are right is for the other tests.
func TestHistoriesAreAsOnRecord(t *testing.T) {
	var w bytes.Buffer
	for i, o := range []trial.HistoryOptions{
		{Surveys: 16, Ports: 5, At: 8, Event: trial.GrowingLeak, Off: trial.Options{Style: trial.Rich}},
		{Surveys: 14, Ports: 4, At: 10, Event: trial.Mend, Kind: "blockage", Stays: "leak", Off: trial.Options{Style: trial.Rich}},
		{Surveys: 14, Ports: 4, At: 8, Event: trial.LoadingFilter, Off: trial.Options{Style: trial.Rich}},
	} {
		_, tr := tracked(t, uint64(1000+i), o, -1)
		out := *tr
		put(&w, fmt.Sprint(i), reflect.ValueOf(struct {
			Surveys  []track.Survey
			Series   []track.Series
			Signals  []track.Signal
			Episodes []track.Episode
			PerYear  float64
		}{out.Surveys, out.Series, out.Signals, out.Episodes, out.PerYear}))
	}
	kit.OnRecord(t, "testdata/histories.txt", w.String())
}
