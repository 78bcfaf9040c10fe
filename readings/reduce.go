package readings

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/stat"

	"lostair/readings/units"
)

// reduce gathers repeats and traverses: rows that are equal in all but
// value, note and position.
func (l *loader) reduce(rows []Row) []Reading {
	var out []Reading
	byKey := map[string]int{}
	for i := range rows {
		key := rows[i].key()
		at, ok := byKey[key]
		if !ok {
			at = len(out)
			byKey[key] = at
			r := &rows[i]
			out = append(out, Reading{Open: r.Open, Point: r.Point, Quantity: r.Quantity,
				Instrument: r.Instrument, HoseOff: r.HoseOff, Date: r.Date})
		}
		out[at].Rows = append(out[at].Rows, i)
	}
	for i := range out {
		if rows[out[i].Rows[0]].Position > 0 {
			out[i].traverse(rows)
			if !l.brokenAt(out[i].Point) {
				l.gaps(&out[i], rows)
			}
		} else {
			out[i].repeats(rows)
		}
	}
	return out
}

// brokenAt is whether a row that can't be used may belong to point; then what a
// traverse lacks there may be that row.
func (l *loader) brokenAt(point string) bool {
	return slices.ContainsFunc(l.broken, func(r Row) bool { return r.Point == point || r.Point == "" })
}

// key is equal for rows that belong to one reading. A row with a position and
// one without are never one reading: the latter was taken on the axis, or is
// a mean already.
func (r *Row) key() string {
	return strings.Join([]string{r.Open.String(), r.Point, r.Quantity.String(), r.Unit, r.Instrument,
		strings.Join(r.HoseOff, "+"), r.Date, strconv.FormatBool(r.Position > 0)}, "\x00")
}

// repeats sets mean, count and standard deviation.
func (r *Reading) repeats(rows []Row) {
	var v []float64
	for _, i := range r.Rows {
		v = append(v, rows[i].Value)
	}
	r.Value, r.Count = stat.Mean(v, nil), len(v)
	if len(v) > 1 {
		r.SD = stat.StdDev(v, nil)
	}
}

// traverse sets the mean over the positions, each position being the mean of
// its repeats. Count is the number of complete passes, and SD is that of
// their means. Velocity pressures are averaged by their roots, that is, as
// velocities (EPA 40 CFR 60 app. A-1 Method 2 averages so; a mean of the
// pressures would be too high).
func (r *Reading) traverse(rows []Row) {
	root := r.Quantity == units.VelocityPressure
	passes := map[int][]float64{} // by position, in file order
	for _, i := range r.Rows {
		v := rows[i].Value
		if root {
			v = math.Copysign(math.Sqrt(math.Abs(v)), v) // a gauge at rest shows a little less than zero as often as more
		}
		passes[rows[i].Position] = append(passes[rows[i].Position], v)
	}
	at := positions(passes)
	r.Positions, r.Count = len(at), len(passes[at[0]])
	var means []float64
	for _, p := range at {
		r.Count = min(r.Count, len(passes[p]))
		means = append(means, stat.Mean(passes[p], nil))
	}
	r.Value = squareIf(root, stat.Mean(means, nil))
	r.SD = passSD(passes, at, r.Count, root)
}

// passSD is the standard deviation of the means of the first n passes.
func passSD(passes map[int][]float64, at []int, n int, root bool) float64 {
	if n < 2 {
		return 0
	}
	means := make([]float64, n)
	for k := range means {
		for _, p := range at {
			means[k] += passes[p][k] / float64(len(at))
		}
		means[k] = squareIf(root, means[k])
	}
	return stat.StdDev(means, nil)
}

func positions(passes map[int][]float64) []int {
	var at []int
	for p := range passes {
		at = append(at, p)
	}
	slices.Sort(at)
	return at
}

func squareIf(root bool, v float64) float64 {
	if root {
		return v * math.Abs(v)
	}
	return v
}

// gaps warns of a traverse that cannot be complete.
func (l *loader) gaps(r *Reading, rows []Row) {
	first := &rows[r.Rows[0]]
	have := map[int]bool{}
	last := 0
	for _, i := range r.Rows {
		have[rows[i].Position] = true
		last = max(last, rows[i].Position)
	}
	var lack []string
	for p := 1; p < last; p++ {
		if !have[p] {
			lack = append(lack, strconv.Itoa(p))
		}
	}
	switch {
	case len(lack) > 0:
		l.warn(first.Line, first.Columns.Position, fmt.Sprintf("the traverse at %s has no position %s", quote(r.Point), shorten(lack)), "read what is missing, or number the positions anew")
	case last == 1:
		l.warn(first.Line, first.Columns.Position, fmt.Sprintf("the traverse at %s has one position only", quote(r.Point)), "read the other positions, or leave position empty for a reading on the axis")
	}
}

// shorten is the list, cut if it is long.
func shorten(s []string) string {
	if len(s) > 8 {
		return strings.Join(s[:8], ", ") + " and more"
	}
	return strings.Join(s, ", ")
}
