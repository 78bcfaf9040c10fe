package track_test

import (
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct/systemfile"
	"lostair/diagnose/fault"
	"lostair/diagnose/track"
	"lostair/readings"
	"lostair/readings/repairs"
	"lostair/readings/units"
)

// A survey that was begun with a complaint does not stand for the sound system unless
// that is asked for, and never in silence.
func TestAComplaintIsNoReference(t *testing.T) {
	sys, bad := systemfile.LoadFile("testdata/clogged/shop.yaml")
	require.NoError(t, bad.Err())
	read := func(name, complaint, day, lathe string) *readings.Survey {
		text := "date,open,point,quantity,value,unit\nD,lathe,lathe,velocity," + lathe + ",fpm\nD,planer,planer,velocity,4502,fpm\n"
		if complaint != "" {
			text = "# Complaint: " + complaint + "\n" + text
		}
		s, bad := readings.Load(strings.NewReader(strings.ReplaceAll(text, "D,", day+",")), name, units.US)
		require.NoError(t, bad.Err())
		return s
	}
	weak := read("rd.csv", "weak at lathe", "2026-11-02", "2854")
	after := read("rd-after.csv", "after a repair", "2026-11-02", "5460")
	later := read("later.csv", "monthly check", "2026-12-02", "5440")
	follow := func(opt track.Options, list ...*readings.Survey) (*track.History, error) {
		opt.Full = -1
		return track.Follow(context.Background(), sys, list, opt)
	}

	_, err := follow(track.Options{}, after, weak)
	require.ErrorContains(t, err, "rd.csv")
	require.ErrorContains(t, err, "begun with a complaint (weak at lathe)")
	require.ErrorContains(t, err, "--before")

	tr, err := follow(track.Options{}, after, weak, later)
	require.NoError(t, err)
	require.Equal(t, after, tr.Surveys[0].Survey)
	require.True(t, tr.Surveys[0].Reference)
	require.Len(t, tr.Surveys, 2)
	require.Contains(t, tr.Doubts, fault.Doubt{Kind: fault.WeakLeftOut, File: "rd.csv", Other: "weak at lathe"})

	tr, err = follow(track.Options{Reference: 1}, weak, after)
	require.NoError(t, err)
	require.Equal(t, weak, tr.Surveys[0].Survey, "of one day the survey after the repair is the later")
	require.Contains(t, tr.Doubts, fault.Doubt{Kind: fault.WeakReference, File: "rd.csv", Other: "weak at lathe"})

	tr, err = follow(track.Options{Baselines: []*readings.Survey{later}}, weak, after)
	require.NoError(t, err)
	require.Len(t, tr.Surveys, 3)

	day, _ := readings.DateOf(after)
	plain := read("plain.csv", "", "2026-10-02", "2854")
	tr, err = follow(track.Options{Repairs: []repairs.Repair{{Date: day, Where: "lathe"}}}, plain, after)
	require.NoError(t, err)
	require.Contains(t, tr.Doubts, fault.Doubt{Kind: fault.MendedReference, File: "plain.csv", Other: "2026-11-02"})
	tr, err = follow(track.Options{Repairs: []repairs.Repair{{Date: day, Where: "lathe"}}}, after, later)
	require.NoError(t, err)
	for _, d := range tr.Doubts {
		require.NotContains(t, []fault.DoubtKind{fault.WeakLeftOut, fault.WeakReference, fault.MendedReference}, d.Kind)
	}
}
