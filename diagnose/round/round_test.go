package round_test

import (
	"bytes"
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/units"
)

func begin(t *testing.T, sys *duct.System, c round.Complaint, left ...round.Left) *round.Round {
	t.Helper()
	r, err := round.Begin(context.Background(), round.Situation{System: sys, Complaint: c, Left: left})
	require.NoError(t, err)
	return r
}

func questions(t *testing.T, r *round.Round, n int) []round.Question {
	t.Helper()
	q, err := r.Questions(context.Background(), n)
	require.NoError(t, err)
	return q
}

func TestTheComplaintAsksFirst(t *testing.T) {
	sys := kit.DemoSystem(t)
	q := questions(t, begin(t, sys, round.Complaint{Kind: round.WeakPort, Port: "saw"}), 2)
	require.Len(t, q, 2)
	assert.Equal(t, "saw|saw|velocity|", q[0].Key())
	assert.True(t, q[0].Moves)
	assert.True(t, q[0].HasSound)
	assert.Equal(t, "saw|T-saw|static_pressure|", q[1].Key())
	assert.False(t, q[1].Moves, "the gates stand as they did")
	all := questions(t, begin(t, sys, round.Complaint{Kind: round.AllWeak}), 1)
	assert.Equal(t, "none", all[0].Row.Open.String())
	assert.False(t, begin(t, sys, round.Complaint{Kind: round.Monthly}).Enough().Yes, "nothing was read")
}

func TestWhatIsLeftIsNotAsked(t *testing.T) {
	sys := kit.DemoSystem(t)
	c := round.Complaint{Kind: round.WeakPort, Port: "saw"}
	text := round.Left{Point: "saw", Why: round.OutReach}.String() + "\n" + round.Left{Key: "saw|T-saw|static_pressure|", Why: round.Skipped}.String()
	left := round.LeftIn(text)
	require.Len(t, left, 2)
	for _, q := range questions(t, begin(t, sys, c, left...), 6) {
		assert.NotEqual(t, "saw", q.Row.Point)
		assert.NotEqual(t, left[1].Key, q.Key())
	}
}

// Where nothing was read, or nothing is to be mended, nothing proves it.
func TestNothingToProve(t *testing.T) {
	r := begin(t, kit.DemoSystem(t), round.Complaint{Kind: round.Monthly})
	assert.Empty(t, r.Proof(nil))
	assert.False(t, r.Provable())
}

// Who took a hose off is told to put it back before what comes next.
func TestHosesArePutBack(t *testing.T) {
	sys := kit.DemoSystem(t)
	off := readings.Row{Open: readings.Open{Gates: []string{"saw"}}, Point: "saw", Quantity: units.MeanVelocity, HoseOff: []string{"saw"}}
	r := &round.Round{Situation: round.Situation{System: sys, Survey: &readings.Survey{Rows: []readings.Row{off}}}}
	for _, c := range []struct {
		off          []string
		unhook, hook []string
		moves        bool
	}{{nil, nil, []string{"saw"}, true}, {[]string{"saw"}, nil, nil, false}, {[]string{"planer"}, []string{"planer"}, []string{"saw"}, true}} {
		row := off
		row.HoseOff = c.off
		q, err := r.Wanted(context.Background(), row)
		require.NoError(t, err)
		assert.ElementsMatch(t, c.unhook, q.Unhook, "%v", c.off)
		assert.ElementsMatch(t, c.hook, q.Hook, "%v", c.off)
		assert.Equal(t, c.moves, q.Moves)
	}
}

// Where nothing was read at the machine that is weak, finding nothing elsewhere says little.
func TestTheComplaintWasNotRead(t *testing.T) {
	sys := kit.DemoSystem(t)
	at := func(c round.Complaint, points ...string) string {
		var rows []readings.Row
		for _, p := range points {
			rows = append(rows, readings.Row{Point: p})
		}
		r := round.Round{Situation: round.Situation{System: sys, Complaint: c, Survey: &readings.Survey{Rows: rows}}}
		return r.Missed()
	}
	weak := round.Complaint{Kind: round.WeakPort, Port: "saw"}
	assert.Equal(t, "saw", at(weak))
	assert.Equal(t, "saw", at(weak, "collector-inlet", "planer"))
	assert.Empty(t, at(weak, "planer", "saw"))
	assert.Empty(t, at(weak, "T-saw"))
	assert.Empty(t, at(round.Complaint{Kind: round.Monthly}))
}

func TestComplaintsAreReadBack(t *testing.T) {
	sys := kit.DemoSystem(t)
	for _, c := range round.Complaints(sys) {
		got, err := round.ParseComplaint(sys, readings.ComplaintIn(c.Comment()+"\ndate,open\n"))
		require.NoError(t, err)
		assert.Equal(t, c, got)
	}
	_, err := round.ParseComplaint(sys, "boredom")
	assert.ErrorContains(t, err, "monthly check")
}

func TestValuesAsPeopleTypeThem(t *testing.T) {
	sys := kit.DemoSystem(t)
	r := begin(t, sys, round.Complaint{})
	for _, c := range []struct {
		q    units.Quantity
		text string
		want float64
	}{
		{units.StaticPressure, "-4.9", -4.9},
		{units.StaticPressure, "−1,2 kPa", -1200},
		{units.StaticPressure, "-4.9 in", -4.9 * 249.08891}, // conventional inch of water, as in package units
		{units.StaticPressure, `-4.9"`, -4.9 * 249.08891},
		{units.StaticPressure, "-120 mm", -120 * 9.80665},
		{units.MeanVelocity, "4000 fpm", 4000 * 0.3048 / 60},
	} {
		q := round.Question{Row: readings.Row{Point: "T-saw", Quantity: c.q, Value: math.NaN()}}
		row, _, err := r.Typed(&q, c.text, "")
		require.NoError(t, err, c.text)
		assert.InDelta(t, c.want, row.Value, 1e-6, c.text)
	}
	for _, text := range []string{"", "abc", "1.2.3", "5 apples", "1,500"} {
		_, _, err := r.Typed(&round.Question{Row: readings.Row{Quantity: units.StaticPressure}}, text, "")
		assert.Error(t, err, text)
	}
	look := round.Question{Row: readings.Row{Look: readings.Hisses, Point: "main"}}
	row, _, err := r.Typed(&look, "Y", "")
	require.NoError(t, err)
	assert.True(t, row.Yes())
	_, _, err = r.Typed(&look, "perhaps", "")
	assert.ErrorContains(t, err, "yes or no")
}

// written is what was written down, as a file gives it back.
func written(t *testing.T, sys *duct.System, rows []readings.Row) *readings.Survey {
	t.Helper()
	var b bytes.Buffer
	require.NoError(t, readings.Write(&b, rows, sys.Units))
	s, bad := readings.Load(&b, "round.csv", sys.Units)
	require.NoError(t, bad.Err())
	return s
}

// A check of a sound shop is not done before what was planned is read, and asks no
// more than a few answers beyond.
func TestACheckReadsAllAroundBeforeItFindsNothing(t *testing.T) {
	sys := kit.DemoSystem(t)
	planned, err := round.Around(context.Background(), sys)
	require.NoError(t, err)
	var rows []readings.Row
	s := round.Situation{System: sys, Complaint: round.Complaint{Kind: round.Monthly}, Planned: planned}
	for range 12 {
		r, err := round.Begin(context.Background(), s)
		require.NoError(t, err)
		if e := r.Enough(); e.Yes {
			assert.Nil(t, e.Act)
			assert.GreaterOrEqual(t, len(rows), len(planned))
			assert.LessOrEqual(t, len(rows), 10)
			return
		}
		q := questions(t, r, 1)[0]
		row := q.Row
		row.Value = q.Sound.Value
		if row.Look != "" {
			row.Value, row.Typed = 1, "yes" // of a gate: it opens, it shuts
		}
		rows = append(rows, row)
		s.Survey = written(t, sys, rows)
	}
	t.Fatal("a sound shop is asked on and on")
}

// Who can't read what would tell is not kept waiting for it.
func TestWhatCannotBeReadIsNotWaitedFor(t *testing.T) {
	sys := kit.DemoSystem(t)
	s := round.Situation{System: sys, Complaint: round.Complaint{Kind: round.WeakPort, Port: "saw"}}
	var rows []readings.Row
	for _, q := range questions(t, begin(t, sys, s.Complaint), 2) {
		row := q.Row
		row.Value = 0.7 * q.Sound.Value
		rows = append(rows, row)
	}
	s.Survey = written(t, sys, rows)
	r, err := round.Begin(context.Background(), s)
	require.NoError(t, err)
	require.False(t, r.Enough().Yes)
	s.Standing = r.Standing
	for _, n := range r.Standing.Next {
		s.Left = append(s.Left, round.Left{Point: n.Point, Why: round.OutReach})
	}
	r, err = round.Begin(context.Background(), s)
	require.NoError(t, err)
	assert.True(t, r.Enough().Yes)
}
