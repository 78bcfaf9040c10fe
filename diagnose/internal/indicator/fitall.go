package indicator

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"lostair/diagnose/internal/numeric"
	"lostair/diagnose/internal/observe"
)

// keepRounds are the rounds in which what lasts is kept: beside one reading kept another
// may be odd. Common practice, no source.
const keepRounds = 3

// FitAll looks at all surveys, two at a time, each worker its own share.
func (t *Tracker) FitAll(ctx context.Context, all []*observe.Bound) ([]*Fit, error) {
	for _, b := range all {
		if len(b.Observation) == 0 {
			return nil, fmt.Errorf("%s: there is no reading in it", b.Survey.File)
		}
	}
	if err := t.portsAtRest(); err != nil {
		return nil, err
	}
	out, errs := make([]*Fit, len(all)), make([]error, len(all))
	numeric.ForEach(len(all), func(i int) {
		if errs[i] = ctx.Err(); errs[i] == nil {
			out[i], errs[i] = t.fitIndicators(all[i], nil)
		}
	})
	if err := errors.Join(errs...); err != nil {
		return nil, err
	}
	keep := make([]map[int]bool, len(all))
	for range keepRounds {
		more := lasting(all, out, keep)
		numeric.ForEach(len(all), func(i int) {
			if errs[i] = ctx.Err(); errs[i] == nil && more[i] {
				out[i], errs[i] = t.fitIndicators(all[i], keep[i])
			}
		})
	}
	return out, errors.Join(errs...)
}

// lasting keeps, by survey, the readings set aside that are no slips: the same thing,
// read the same way, was off to the same side in the survey before it or after it. A
// gate that stays a fifth open takes two thirds of the air of one reading, and each
// survey by itself called that reading wrong. It says which surveys have more to keep.
func lasting(all []*observe.Bound, gs []*Fit, keep []map[int]bool) []bool {
	type at struct{ survey, observation, side int } // side: 0 where it is not set aside
	read := map[string][]at{}
	for k, b := range all {
		side := map[int]int{}
		for _, w := range slices.Concat(gs[k].Wrong, gs[k].broke) {
			side[w.Observation] = -1
			if b.Observation[w.Observation].Y > w.Fits {
				side[w.Observation] = 1
			}
		}
		for i := range b.Observation {
			key := readAs(b, i)
			read[key] = append(read[key], at{k, i, side[i]})
		}
	}
	more := make([]bool, len(all))
	for _, list := range read {
		for j, x := range list {
			before, after := j > 0 && list[j-1].side == x.side, j+1 < len(list) && list[j+1].side == x.side
			if x.side == 0 || !before && !after {
				continue
			}
			if keep[x.survey] == nil {
				keep[x.survey] = map[int]bool{}
			}
			keep[x.survey][x.observation], more[x.survey] = true, true
		}
	}
	return more
}

// readAs says what an observation is of and how the gates stood.
func readAs(b *observe.Bound, i int) string {
	r := &b.Survey.Rows[b.Observation[i].Rows[0]]
	return strings.Join([]string{r.Open.String(), strings.Join(r.HoseOff, "+"), r.Point, r.Quantity.String()}, " ")
}
