package main

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/report/golden"
)

// The history of the demo shop: a survey a month over two years. Its filter
// loads from August 2024 until it is cleaned in September 2025; from November
// 2025 on the leak opens that the demo's survey finds. UPDATE_GOLDEN=1 writes it anew.

const historyMonths = 24

var historyStops = []stop{
	{"planer", "T-planer planer R1 M1"},
	{"floor", "T-floor"},
	{"saw", "T-saw saw L1 filter"},
	{"sander", "sander L1"},
	{"none", "M1"},
}

func historyDay(month int) time.Time {
	return time.Date(2024, time.May+time.Month(month), 4, 0, 0, 0, 0, time.UTC)
}

// historyState is what is wrong in a month: the filter's multiple and the leak's area.
func historyState(month int) (filter, leak float64) {
	filter = 1
	if month >= 3 && month < 16 {
		filter = math.Pow(2.6, float64(month-2)/13)
	}
	if month >= 18 {
		leak = 4e-4 * float64(month-17)
	}
	return filter, leak
}

func TestDemoHistory(t *testing.T) {
	for _, in := range []string{"demo/", "demo-us/"} {
		writeHistory(t, in, loadEmbedded(t, in+systemFile))
	}
}

func writeHistory(t *testing.T, in string, sys *duct.System) {
	for month := range historyMonths {
		filter, leak := historyState(month)
		sim := simulation{
			comment: "# One of the monthly surveys of the demo shop: made up with lostair's own model.\n",
			date:    historyDay(month).Format(time.DateOnly),
			seed:    demoSurvey.seed,
			visit:   uint64(100 + month),
			stops:   historyStops,
			filter:  filter,
			fault:   &gap{demoSurvey.fault.duct, leak},
		}
		golden.Check(t, fmt.Sprintf("%shistory/%s.csv", in, sim.date), sim.survey(t, sys))
	}
}

func TestDemoHistoryIsAllThere(t *testing.T) {
	for _, in := range []string{"demo", "demo-us"} {
		list, err := demo.ReadDir(in + "/history")
		require.NoError(t, err)
		require.Len(t, list, historyMonths)
	}
}
