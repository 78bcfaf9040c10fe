package problem

import (
	"fmt"
	"regexp"
)

// oftenFrom is from how many lines on what is the same in all is said once. A few can
// be corrected one by one, and each place is worth knowing.
const oftenFrom = 4

// named is a row by its id, where a message begins with what it is of. An id that isn't
// known is no such row: each is worth knowing.
var named = regexp.MustCompile(`^((?:the [a-z]+ of )?(duct|port|gate|tap|machine|instrument)) "[^"]*"`)

// Once is the list with what is said alike of many lines of a file said at the first
// of them, with how many more there are: the same words, or the same but for the id of
// the row that they are of. The list itself stays as it is.
func (l List) Once() List {
	type saying struct {
		file, what, do string
		warning        bool
	}
	of := func(p Problem) saying {
		return saying{p.File, named.ReplaceAllString(p.What, "$1"), p.Do, p.Warning}
	}
	times, last, ids := map[saying]int{}, map[saying]int{}, map[saying]map[string]bool{}
	for _, p := range l {
		if p.Line > 0 {
			k := of(p)
			times[k]++
			last[k] = max(last[k], p.Line)
			if ids[k] == nil {
				ids[k] = map[string]bool{}
			}
			ids[k][p.What] = true
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
			more := fmt.Sprintf("in %d more places", times[k]-1)
			if len(ids[k]) > 1 {
				more = fmt.Sprintf("for %d more %ss", times[k]-1, named.FindStringSubmatch(p.What)[2])
			}
			p.What += fmt.Sprintf(", and so %s up to %s %d", more, row, last[k])
		}
		said[k] = true
		out = append(out, p)
	}
	return out
}
