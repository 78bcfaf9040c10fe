package observe

import (
	"path/filepath"
	"reflect"
	"slices"

	"lostair/diagnose/fault"
	"lostair/readings"
)

// copyLeast is how many readings must be equal, value for value, to be a copy:
// fewer may be so by chance.
const copyLeast = 4

// Earlier are the baselines that are not the survey once more, and what to say
// of those that are, or were taken after it. Held against itself no survey
// shows a fault, so a copy says nothing.
func Earlier(baselines []*readings.Survey, survey *readings.Survey) (use []*readings.Survey, doubts []fault.Doubt) {
	for _, b := range baselines {
		if AllZero(b) != nil {
			doubts = append(doubts, fault.Doubt{Kind: fault.BaselineZero, File: b.File})
			continue
		}
		if Copied(b, survey) {
			doubts = append(doubts, fault.Doubt{Kind: fault.BaselineCopied, File: b.File})
			continue
		}
		use = append(use, b)
		now, ok := readings.DateOf(survey)
		if was, dated := readings.DateOf(b); ok && dated && was.After(now) {
			doubts = append(doubts, fault.Doubt{Kind: fault.BaselineLater, File: b.File})
		}
	}
	return use, doubts
}

// Copied says whether a survey has all readings of another, value for value.
func Copied(b, survey *readings.Survey) bool {
	if len(survey.Readings) < copyLeast {
		return false
	}
	for i := range survey.Readings {
		if !slices.ContainsFunc(b.Readings, func(r readings.Reading) bool { return sameReading(&r, &survey.Readings[i]) }) {
			return false
		}
	}
	return true
}

func sameReading(a, b *readings.Reading) bool {
	return a.Value == b.Value && a.Point == b.Point && a.Quantity == b.Quantity && a.Open.String() == b.Open.String() &&
		a.Instrument == b.Instrument && slices.Equal(a.HoseOff, b.HoseOff)
}

// OnlyOnce leaves out surveys that were given before, by the same name or as a
// copy: as further surveys they would prove a system steady that was read once.
// It says so.
func OnlyOnce(baselines, surveys []*readings.Survey) (once []*readings.Survey, said []fault.Doubt) {
	seen := slices.Clone(baselines)
	for _, s := range surveys {
		i := slices.IndexFunc(seen, func(o *readings.Survey) bool { return SameSurvey(o, s) })
		if i < 0 {
			once, seen = append(once, s), append(seen, s)
			continue
		}
		d := fault.Doubt{Kind: fault.SurveyTwice, File: s.File}
		if o := seen[i]; filepath.Clean(o.File) != filepath.Clean(s.File) {
			d = fault.Doubt{Kind: fault.SurveyCopied, File: s.File, Other: o.File}
		}
		if !slices.Contains(said, d) {
			said = append(said, d)
		}
	}
	return once, said
}

// SameSurvey is whether two files hold the same rows of the same day.
func SameSurvey(a, b *readings.Survey) bool {
	x, _ := readings.DateOf(a)
	y, _ := readings.DateOf(b)
	return x.Equal(y) && len(a.Rows) > 0 && reflect.DeepEqual(a.Rows, b.Rows)
}
