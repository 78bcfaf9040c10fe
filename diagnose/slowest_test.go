//go:build unix

package diagnose_test

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/trial"
)

// mostWork is how much processor time a small shop's diagnosis may take, whatever
// was read.
const mostWork = 15 * time.Second

// TestSlowestSmallInputs looks for small inputs that take long: surveys of small
// plants spoilt at random as in FuzzDiagnose, by the processor time each takes. The
// slowest are printed. LOSTAIR_SLOW=n tries so many.
func TestSlowestSmallInputs(t *testing.T) {
	n := 12
	if s := os.Getenv("LOSTAIR_SLOW"); s != "" {
		var err error
		n, err = strconv.Atoi(s)
		require.NoError(t, err)
	} else if os.Getenv("LOSTAIR_LONG") != "" {
		n = 150
	}
	type run struct {
		took time.Duration
		what string
	}
	var all []run
	r := rand.New(rand.NewPCG(11, 7))
	for k := range n {
		seed, ports, flags := r.Uint64N(1000), uint8(r.Uint32N(8)), uint8(r.Uint32N(4))
		edits := make([]byte, 4*r.IntN(9))
		for i := range edits {
			edits[i] = byte(r.Uint32())
		}
		opt := trial.Options{Ports: 1 + int(ports), Quick: true, Baseline: trial.No, Style: trial.Normal}
		if flags&1 != 0 {
			opt.Baseline = trial.Yes
		}
		if flags&2 != 0 {
			opt = harshly(opt)
		}
		c, err := trial.NewCase(seed, opt)
		if err != nil {
			continue
		}
		survey := spoilt(t, c, edits)
		if survey == nil {
			continue
		}
		var opts diagnose.Options
		for _, b := range c.Baselines {
			opts.Baselines = append(opts.Baselines, short(t, c, b))
		}
		before := spent(t)
		if _, err = diagnose.Diagnose(context.Background(), c.System, survey, opts); err != nil {
			t.Logf("case %d: %v", k, err)
		}
		took := spent(t) - before
		all = append(all, run{took, fmt.Sprintf("seed %d, ports %d, flags %d, edits %v: %d rows", seed, ports, flags, edits, len(survey.Rows))})
		assert.Less(t, took, mostWork, all[len(all)-1].what)
	}
	slices.SortFunc(all, func(a, b run) int { return int(b.took - a.took) })
	for _, x := range all[:min(5, len(all))] {
		t.Logf("%6.2f s  %s", x.took.Seconds(), x.what)
	}
	t.Logf("%6.2f s in the middle of %d", all[len(all)/2].took.Seconds(), len(all))
}

// spent is the processor time that this process has taken.
func spent(t *testing.T) time.Duration {
	var u syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano())
}
