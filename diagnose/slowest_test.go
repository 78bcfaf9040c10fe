//go:build unix

package diagnose_test

import (
	"cmp"
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"sync/atomic"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/survey"
)

// mostWork is how often a small shop's diagnosis may ask whether it is to stop,
// whatever was read. It asks before every step of every fit, so this bounds the work
// alike on every machine. Of 150 such inputs the slowest asks 4,800 times.
const mostWork = 10_000

// stepsOf counts how often work asks its context whether to stop.
type stepsOf struct {
	context.Context
	asked atomic.Int64
}

func (s *stepsOf) Err() error {
	s.asked.Add(1)
	return s.Context.Err()
}

// TestSlowestSmallInputs looks for small inputs that take long: surveys of small
// plants spoilt at random as in FuzzDiagnose, by the steps and the processor time each
// takes. Those with the most steps are printed. LOSTAIR_SLOW=n tries so many.
func TestSlowestSmallInputs(t *testing.T) {
	n := 6
	if s := os.Getenv("LOSTAIR_SLOW"); s != "" {
		var err error
		n, err = strconv.Atoi(s)
		require.NoError(t, err)
	} else if os.Getenv("LOSTAIR_LONG") != "" {
		n = 150
	}
	type run struct {
		steps int64
		took  time.Duration
		what  string
	}
	var all []run
	r := rand.New(rand.NewPCG(11, 7))
	for k := range n {
		seed, ports, flags := r.Uint64N(1000), uint8(r.Uint32N(8)), uint8(r.Uint32N(4))
		edits := make([]byte, 4*r.IntN(9))
		for i := range edits {
			edits[i] = byte(r.Uint32())
		}
		opt := trial.Options{Ports: 1 + int(ports), Quick: true, Baseline: trial.No, Style: survey.Normal}
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
		before, ctx := spent(t), &stepsOf{Context: context.Background()}
		if _, err = diagnose.Diagnose(ctx, c.System, survey, opts); err != nil {
			t.Logf("case %d: %v", k, err)
		}
		x := run{ctx.asked.Load(), spent(t) - before, fmt.Sprintf("seed %d, ports %d, flags %d, edits %v: %d rows", seed, ports, flags, edits, len(survey.Rows))}
		all = append(all, x)
		assert.Less(t, x.steps, int64(mostWork), x.what)
	}
	slices.SortFunc(all, func(a, b run) int { return cmp.Compare(b.steps, a.steps) })
	for _, x := range all[:min(5, len(all))] {
		t.Logf("%7d steps, %6.2f s  %s", x.steps, x.took.Seconds(), x.what)
	}
	t.Logf("%7d steps in the middle of %d", all[len(all)/2].steps, len(all))
}

// spent is the processor time that this process has taken.
func spent(t *testing.T) time.Duration {
	var u syscall.Rusage
	require.NoError(t, syscall.Getrusage(syscall.RUSAGE_SELF, &u))
	return time.Duration(u.Utime.Nano())
}
