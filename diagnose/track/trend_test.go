package track

import (
	"math"
	"testing"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/indicator"

	"github.com/stretchr/testify/require"
)

// series of a known course, without noise, a survey a week.
func course(f func(week int) float64, n int, sd float64) ([]indicator.Change, []float64) {
	var list []indicator.Change
	var days []float64
	for i := range n {
		list, days = append(list, indicator.Change{Value: f(i), Fresh: sd}), append(days, 7*float64(i))
	}
	return list, days
}

func TestATrendSaysWhenItBeganAndWhenItCrosses(t *testing.T) {
	list, days := course(func(w int) float64 { return math.Max(0, 0.1*float64(w-10)) }, 30, 0.02)
	tr := trendOf(list, days, 5, 1, jumps(list, 1, FarStep))
	require.False(t, tr.jumped)
	require.Equal(t, 10, tr.began[0])
	require.InDelta(t, 0.1/7, tr.rate.Value, 1e-4)
	in, sure := tr.reaches(3, 0, days[29])
	require.True(t, sure)
	// 3 is reached 30 weeks after week 10, which is 11 weeks after week 29
	require.InDelta(t, 77, in.Value, 1)
	require.Less(t, in.Low, 77.0)
	require.Greater(t, in.High, 77.0)
	_, sure = tr.reaches(-3, 0, days[29])
	require.False(t, sure, "it runs the other way")
}

func TestAStepIsNamedAsOne(t *testing.T) {
	list, days := course(func(w int) float64 {
		if w >= 12 {
			return 1
		}
		return 0
	}, 30, 0.05)
	at := jumps(list, 1, FarStep)
	require.Equal(t, []int{12}, at)
	tr := trendOf(list, days, 5, 1, at)
	require.Equal(t, 12, tr.from)
	require.InDelta(t, 1, tr.level.Value, 0.01)
}

func TestADriftIsNoStepHoweverSharpTheReadings(t *testing.T) {
	list, _ := course(func(w int) float64 { return 0.1 * float64(w) }, 30, 0.001)
	require.Empty(t, jumps(list, 1, FarStep))
}

func TestOneBadSurveyIsNoStep(t *testing.T) {
	list, _ := course(func(w int) float64 {
		if w == 12 {
			return 1
		}
		return 0
	}, 30, 0.02)
	require.Empty(t, jumps(list, 1, FarStep))
}

// The chart's limits give the runs that Siegmund's formula promises: with k 0.5
// and h 5 a sound series runs 938 values before a false signal on one side
// (Montgomery, Introduction to Statistical Quality Control, prints 465 for both
// sides; value from memory).
func TestLimitsAreThoseOfTheRunLength(t *testing.T) {
	ewma, cusum := limitsFor(20, 52)
	require.InDelta(t, 4.819, ewma, 0.005) // Φ⁻¹(1 − 0.003/4160)
	b := cusum + 1.166
	run := (math.Exp(2*ChartSlack*b) - 2*ChartSlack*b - 1) / (2 * ChartSlack * ChartSlack)
	require.InEpsilon(t, 4*20*52/FalseYear, run, 1e-6)
	b = 5 + 1.166
	require.InDelta(t, 938, (math.Exp(b)-b-1)/0.5, 15)
	wide, _ := limitsFor(200, 52)
	require.Greater(t, wide, ewma, "more series, wider limits")
}

// reaches says in how many days after the last survey the trend crosses limit:
// median and 90 % interval; neverDays and more mean that it may never. False if
// it does not run that way, or has crossed already.
func (t *trend) reaches(limit, rel, last float64) (fault.Interval, bool) {
	return reached(t.crosses(limit, rel, last))
}
