package problem

import "fmt"

// oftenFrom is from how many lines on what is the same in all is said once. A few can
// be corrected one by one, and each place is worth knowing.
const oftenFrom = 4

// Once is the list with what is said alike of many lines of a file said at the first
// of them, with how many more there are. The list itself stays as it is.
func (l List) Once() List {
	type saying struct {
		file, what, do string
		warning        bool
	}
	of := func(p Problem) saying { return saying{p.File, p.What, p.Do, p.Warning} }
	times, last := map[saying]int{}, map[saying]int{}
	for _, p := range l {
		if p.Line > 0 {
			times[of(p)]++
			last[of(p)] = max(last[of(p)], p.Line)
		}
	}
	said := map[saying]bool{}
	var out List
	for _, p := range l {
		k := of(p)
		if often := times[k] >= oftenFrom && p.Line > 0; often && said[k] {
			continue
		} else if often {
			row := "line"
			if p.Sheet != "" {
				row = "row"
			}
			p.What += fmt.Sprintf(", and so in %d more places up to %s %d", times[k]-1, row, last[k])
		}
		said[k] = true
		out = append(out, p)
	}
	return out
}
