package screen

import (
	"cmp"
	"slices"
	"sort"
	"strconv"
	"strings"

	"lostair/diagnose/fault"
	"lostair/diagnose/internal/fit"
)

// Idea is a hypothesis that looks worth fitting, with what it should score.
type Idea struct {
	fit.Hypothesis
	From  *fit.Fit
	Score float64
	Prior float64
	Key   string
	Z     float64    // of the fault last added: the severity to start from
	Start *fit.Point // where to start from, if not from where From stands
	Swap  [2]int     // which variant was put in place of which
	Off   float64    // what is in Score because From was fitted to a baseline too
	Times Times      // of what a typical fault does, that of the fault last added
}

// KeyOf gives each hypothesis one name whatever the order it was grown in.
func KeyOf(h fit.Hypothesis, vid map[*fault.Variant]int, wid map[*fit.Wrong]int) string {
	var a []int
	for _, v := range h.Faults {
		a = append(a, vid[v])
	}
	sort.Ints(a)
	var b []int
	for _, w := range h.Rows {
		b = append(b, wid[w])
	}
	sort.Ints(b)
	var sb strings.Builder
	for _, x := range a {
		sb.WriteString(strconv.Itoa(x))
		sb.WriteByte(',')
	}
	sb.WriteByte('|')
	for _, x := range b {
		sb.WriteString(strconv.Itoa(x))
		sb.WriteByte(',')
	}
	return sb.String()
}

// ByScore are the places of ideas in the order of what they promise.
func ByScore(list []Idea) []int {
	by := make([]int, len(list))
	for i := range by {
		by[i] = i
	}
	slices.SortStableFunc(by, func(i, j int) int { return cmp.Compare(list[j].Score, list[i].Score) })
	return by
}

// BestFirst sorts ideas by what they promise.
func BestFirst(list []Idea) []Idea {
	out := make([]Idea, len(list))
	for k, i := range ByScore(list) {
		out[k] = list[i]
	}
	return out
}
