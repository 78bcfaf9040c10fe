package score

import (
	"fmt"
	"math"
	"strings"
)

// String is the figures as a table for people, each group with a line of
// standard errors (binomial; cases taken as independent).
func (s *Figures) String() string {
	var b strings.Builder
	all := &s.Groups[0]
	fmt.Fprintf(&b, "%d cases, %d failed, %s s a case\n", all.Cases, all.Failed, strings.TrimSpace(num(all.Seconds.Value(), 6, 3)))
	fmt.Fprintf(&b, "%-15s%6s%6s%7s%7s%7s%7s%7s%7s%7s%6s%5s%6s%7s%6s%6s%6s%5s%7s%5s%7s%6s%6s%6s%6s\n", "", "cases", "false", "~false", "detect", "top-1", "top-3",
		"~top-1", "~top-3", "place", "MRR", "all", "all.1", "Brier", "logl", "ECE", "sev90", "err", "flow90", "err", "ECE.1", "given", "tog", "sure", "size")
	for i := range s.Groups {
		s.Groups[i].write(&b)
	}
	b.WriteString("by kind (asserted: share of these faults given 0.5 or more)\n")
	fmt.Fprintf(&b, "%-17s%7s%9s%7s%7s%7s%6s%6s%5s\n", "", "faults", "asserted", "top-1", "top-3", "~top-3", "sev n", "sev90", "err")
	for i := range s.Kinds {
		k := &s.Kinds[i]
		fmt.Fprintf(&b, "%-17s%7d%s%s%s%s%6d%s%s\n", k.Name, k.Named.N, pc(k.Named.Value(), 9), pc(k.Top1.Value(), 7), pc(k.Top3.Value(), 7), pc(k.Top3Alike.Value(), 7),
			k.SevIn.N, pc(k.SevIn.Value(), 6), pc(median(k.SevErr), 5))
	}
	for i := range s.Side {
		d := &s.Side[i]
		fmt.Fprintf(&b, "%-17s%7d%s%7s%s%7s%6d%s%s   %d named wrongly; of %d cases with nothing else wrong %d blamed on another fault\n", d.Kind, d.Truths, pc(d.Asserted.Value(), 9), "",
			pc(d.Top3.Value(), 7), "", d.ValueIn.N, pc(d.ValueIn.Value(), 6), pc(median(d.ValueErr), 5), d.FalselyNamed, d.Alone, d.BlamedFor)
	}
	b.WriteString("calibration (probability: candidates, mean, real):")
	bins(&b, &all.Bins)
	b.WriteString("together (stated: groups, mean, real):")
	bins(&b, &all.Together)
	return b.String()
}

func bins(b *strings.Builder, x *Bins) {
	for i, v := range x {
		if v.N > 0 {
			fmt.Fprintf(b, "  %.1f+: %d, %.2f, %.2f", float64(i)/10, v.N, v.Sum/float64(v.N), v.Real/float64(v.N))
		}
	}
	b.WriteByte('\n')
}

func (g *Group) write(b *strings.Builder) {
	t := &g.Tally
	fmt.Fprintf(b, "%-15s%6d", g.Name, g.Cases)
	t.line(b, Share.Value, Mean.Value, (*Bins).Error, median)
	fmt.Fprintf(b, "%15s%6s", "±", "")
	t.line(b, Share.SE, Mean.SE, (*Bins).ErrorSE, func([]float64) float64 { return math.NaN() })
}

func (t *Tally) line(b *strings.Builder, share func(Share) float64, mean func(Mean) float64, bin func(*Bins, int) float64, mid func([]float64) float64) {
	for _, c := range []struct {
		s Share
		w int
	}{{t.False, 6}, {t.FalseOrUnclear, 7}, {t.Detect, 7}, {t.Top1, 7}, {t.Top3, 7}, {t.Top1Alike, 7}, {t.Top3Alike, 7}, {t.Place, 7}} {
		b.WriteString(pc(share(c.s), c.w))
	}
	b.WriteString(num(mean(t.MRR), 6, 2) + pc(share(t.All), 5) + pc(share(t.Listed), 6) + num(mean(t.Brier), 7, 3) + num(mean(t.LogLoss), 6, 2) + num(bin(&t.Bins, 0), 6, 3))
	b.WriteString(pc(share(t.SevIn), 6) + pc(mid(t.SevErr), 5) + pc(share(t.FlowIn), 7) + pc(mid(t.FlowErr), 5))
	b.WriteString(num(bin(&t.Bins, 1), 7, 3) + pc(share(t.Asserted), 6) + num(bin(&t.Together, 0), 6, 3) + pc(share(t.Sure), 6) + num(mean(t.Size), 6, 2) + "\n")
}

func pc(v float64, w int) string {
	if math.IsNaN(v) {
		return fmt.Sprintf("%*s", w, "-")
	}
	return fmt.Sprintf("%*.0f%%", w-1, 100*v)
}

func num(v float64, w, p int) string {
	if math.IsNaN(v) {
		return fmt.Sprintf("%*s", w, "-")
	}
	return fmt.Sprintf("%*.*f", w, p, v)
}
