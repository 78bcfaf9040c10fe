package diagnose_test

import (
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"lostair/diagnose"
	"lostair/diagnose/duct"
	"lostair/diagnose/fault"
	"lostair/diagnose/internal/kit"
	"lostair/diagnose/trial"
	"lostair/diagnose/trial/score"
)

// The bank of made-up cases: go test ./diagnose -run TestBank -cases 2000 -v
var (
	bankCases  = flag.Int("cases", kit.Some(0, 16), "how many made-up cases TestBank diagnoses")
	bankFrom   = flag.Uint64("from", 1, "seed of the first")
	bankStress = flag.Bool("stress", false, "use the stress set: twice the spread, elements off, offsets of manometers")
	bankHarsh  = flag.Bool("harsh", false, "and heavy tails, and instruments worse than they claim to be")
	bankSound  = flag.Bool("sound", false, "sound plants only")
	bankList   = flag.Bool("list", false, "print a line a case")
	bankDir    = flag.String("keep", "", "folder to write the cases to")
)

func answerOf(r *diagnose.Result) *score.Answer {
	named := func(c fault.Candidate) score.Named {
		n := score.Named{Kind: c.Kind.String(), Where: c.Where, Probability: c.Probability}
		for _, g := range r.Groups {
			for _, m := range g.Members {
				if m != c {
					continue
				}
				for _, o := range g.Members {
					if o != c {
						n.Alike = append(n.Alike, score.Named{Kind: o.Kind.String(), Where: o.Where, Probability: o.Probability})
					}
				}
			}
		}
		return n
	}
	a := &score.Answer{Verdict: string(r.Verdict)}
	for _, f := range r.Faults {
		n := named(f.Candidate)
		n.Together = f.Together
		n.Severity = &score.Interval{Value: f.Severity.Value, Low: f.Severity.Low, High: f.Severity.High}
		a.Faults = append(a.Faults, n)
	}
	for _, c := range r.Candidates {
		a.Candidates = append(a.Candidates, named(c))
	}
	for _, p := range r.Ports {
		a.Ports = append(a.Ports, score.PortAnswer{Port: p.Port, Open: p.Open.String(), Flow: score.Interval{Value: p.Flow.Value, Low: p.Flow.Low, High: p.Flow.High}})
	}
	return a
}

// bank diagnoses n made-up cases, apart from seeds that make no plant; it returns
// the seeds as well.
func bank(t *testing.T, from uint64, n int, opt trial.Options) ([]uint64, []*trial.Truth, []*score.Answer) {
	t.Helper()
	return bankOn(t, from, n, opt, nil)
}

// bankOn does so on pages that say less than they could; say may be nil.
func bankOn(t *testing.T, from uint64, n int, opt trial.Options, say func(page *duct.System)) ([]uint64, []*trial.Truth, []*score.Answer) {
	t.Helper()
	truths, answers := make([]*trial.Truth, n), make([]*score.Answer, n)
	var wg sync.WaitGroup
	for w := range runtime.NumCPU() {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for i := w; i < n; i += runtime.NumCPU() {
				c, err := trial.NewCase(from+uint64(i), opt)
				if err != nil {
					t.Logf("seed %d makes no plant: %v", from+uint64(i), err)
					continue
				}
				truths[i] = &c.Truth
				start := time.Now()
				page := c.System
				if say != nil {
					page = page.Copy()
					say(page)
					if bad := page.Finish().Err(); bad != nil {
						t.Errorf("seed %d: %v", from+uint64(i), bad)
						continue
					}
				}
				r, err := diagnose.Diagnose(context.Background(), page, c.Survey, diagnose.Options{Baselines: c.Baselines})
				if err != nil {
					t.Errorf("seed %d: %v", from+uint64(i), err)
					continue
				}
				answers[i] = answerOf(r)
				answers[i].Seconds = time.Since(start).Seconds()
				if *bankDir != "" {
					_ = score.WriteCase(c, *bankDir, fmt.Sprintf("%05d", from+uint64(i)))
				}
			}
		}()
	}
	wg.Wait()
	var seeds []uint64
	for i, tr := range truths {
		if tr != nil {
			truths[len(seeds)], answers[len(seeds)] = tr, answers[i]
			seeds = append(seeds, from+uint64(i))
		}
	}
	return seeds, truths[:len(seeds)], answers[:len(seeds)]
}

func TestBank(t *testing.T) {
	if *bankCases == 0 {
		t.Skip("made-up cases of all sizes take long; LOSTAIR_LONG=1 runs them, and -args -cases N")
	}
	opt := trial.Options{}
	switch {
	case *bankHarsh:
		opt = trial.Harsh()
	case *bankStress:
		opt = trial.Stress()
	}
	opt.Sound = *bankSound
	if *bankDir != "" {
		require.NoError(t, os.MkdirAll(filepath.Clean(*bankDir), 0o755))
	}
	seeds, truths, answers := bank(t, *bankFrom, *bankCases, opt)
	s := score.Of(truths, answers)
	t.Log("\n" + s.String())
	switch {
	case *bankHarsh: // promised nothing
	case *bankStress:
		stressMarks.hold(t, s)
	default:
		ownMarks.hold(t, s)
	}
	if *bankList {
		for i, tr := range truths {
			if answers[i] != nil {
				t.Log(lineOf(seeds[i], tr, answers[i]))
			}
		}
	}
}

func lineOf(seed uint64, t *trial.Truth, a *score.Answer) string {
	out := fmt.Sprintf("%d %s %d ports base %v %.1fs truth:", seed, t.Style, t.Ports, t.Baseline, a.Seconds)
	for _, f := range t.Faults {
		if f.Main() || f.Kind == trial.ReadingWrong {
			out += fmt.Sprintf(" %s %s %.3g snr %.1f %v,", f.Kind, f.Where, f.Severity, f.SNR, f.Observable)
		}
	}
	out += " | " + a.Verdict
	for i, c := range a.Candidates {
		if i < 4 && c.Kind != trial.Undersized {
			out += fmt.Sprintf(" %s %s %.2f,", c.Kind, c.Where, c.Probability)
		}
	}
	return out
}
