package diagnose

import (
	"fmt"
	"path/filepath"
	"reflect"
	"slices"

	"lostair/readings"
)

// copyLeast is how many readings must be equal, value for value, to be a copy:
// fewer may be so by chance.
const copyLeast = 4

// earlier are the baselines that are not the survey once more, and what to say
// of those that are, or were taken after it. Held against itself no survey
// shows a fault, so a copy says nothing.
func earlier(baselines []*readings.Survey, survey *readings.Survey) (use []*readings.Survey, doubts []string) {
	for _, b := range baselines {
		if allZero(b) != nil {
			doubts = append(doubts, fmt.Sprintf("The baseline %s holds nothing but zeros and was left out: give a survey from when the system was sound.", b.File))
			continue
		}
		if copied(b, survey) {
			doubts = append(doubts, fmt.Sprintf("The baseline %s holds these same readings, value for value, and was left out: give a survey from when the system was sound.", b.File))
			continue
		}
		use = append(use, b)
		now, ok := DateOf(survey)
		if was, dated := DateOf(b); ok && dated && was.After(now) {
			doubts = append(doubts, fmt.Sprintf("The baseline %s is dated after this survey: check that it shows the system when it was sound.", b.File))
		}
	}
	return use, doubts
}

// copied says whether a survey has all readings of another, value for value.
func copied(b, survey *readings.Survey) bool {
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

// onlyOnce leaves out surveys that were given before, by the same name or as a
// copy: as further surveys they would prove a system steady that was read once.
// It says so.
func onlyOnce(baselines, surveys []*readings.Survey) (once []*readings.Survey, said []string) {
	seen := slices.Clone(baselines)
	for _, s := range surveys {
		i := slices.IndexFunc(seen, func(o *readings.Survey) bool { return sameSurvey(o, s) })
		if i < 0 {
			once, seen = append(once, s), append(seen, s)
			continue
		}
		text := s.File + " was given more than once; it counts once."
		if o := seen[i]; filepath.Clean(o.File) != filepath.Clean(s.File) {
			text = fmt.Sprintf("%s holds the same readings as %s; they count once.", s.File, o.File)
		}
		if !slices.Contains(said, text) {
			said = append(said, text)
		}
	}
	return once, said
}

// sameSurvey is whether two files hold the same rows of the same day.
func sameSurvey(a, b *readings.Survey) bool {
	x, _ := DateOf(a)
	y, _ := DateOf(b)
	return x.Equal(y) && len(a.Rows) > 0 && reflect.DeepEqual(a.Rows, b.Rows)
}
