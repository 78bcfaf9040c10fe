package problem

import (
	"fmt"
	"regexp"
)

// oftenFrom is from how many lines on what is the same in all is said once. A few can
// be corrected one by one, and each place is worth knowing.
const oftenFrom = 4

// alike are the ways in which messages of one mistake differ: by the row that they are
// of, the point that was read, or the value as written. Values are each worth knowing
// unless line after line has one: then the column is wrong. So is an id that isn't known,
// and no message begins with one.
var alike = [...]struct {
	begins  *regexp.Regexp
	stands  string // for what differs
	called  string // how the others are called; %s: by the second part of begins
	columns bool   // only if no line between is free of it
}{
	{regexp.MustCompile(`^((?:the [a-z]+ of )?(duct|port|gate|tap|machine|instrument)) "[^"]*"`), "$1", "for %d more %ss", false},
	{regexp.MustCompile(`^([a-z_]+) at \S+ says`), "$1 at", "for %d more readings", false},
	{regexp.MustCompile(`^"[^"]*"`), "", "for %d more values", true},
}

// saying is what problems have in common that are one mistake.
type saying struct {
	file, what, do string
	warning        bool
	way            int // in alike, -1: none
}

func sayingOf(p Problem) saying {
	s := saying{p.File, p.What, p.Do, p.Warning, -1}
	for i := range alike {
		if alike[i].begins.MatchString(p.What) {
			s.what, s.way = alike[i].begins.ReplaceAllString(p.What, alike[i].stands), i
			break
		}
	}
	return s
}

// told counts the lines of a saying.
type told struct {
	times, first, last int
	lines              map[int]bool
	texts              map[string]bool
	said               bool
}

// often is whether it is said once.
func (t *told) often(s saying) bool {
	if s.way >= 0 && alike[s.way].columns && len(t.texts) > 1 && t.last-t.first+1 != len(t.lines) {
		return false
	}
	return t.times >= oftenFrom
}

// more says how many others there are.
func (t *told) more(s saying, p Problem) string {
	row, how := "line", fmt.Sprintf("in %d more places", t.times-1)
	if p.Sheet != "" {
		row = "row"
	}
	if len(t.texts) > 1 {
		w := alike[s.way]
		if how = fmt.Sprintf(w.called, t.times-1); s.way == 0 {
			how = fmt.Sprintf(w.called, t.times-1, w.begins.FindStringSubmatch(p.What)[2])
		}
	}
	return fmt.Sprintf(", and so %s up to %s %d", how, row, t.last)
}

// Once is the list with what is said alike of many lines of a file said at the first
// of them, with how many more there are. The list itself stays as it is.
func (l List) Once() List {
	of := map[saying]*told{}
	count := func(s saying, p Problem) {
		t := of[s]
		if t == nil {
			t = &told{first: p.Line, lines: map[int]bool{}, texts: map[string]bool{}}
			of[s] = t
		}
		t.times++
		t.first, t.last = min(t.first, p.Line), max(t.last, p.Line)
		t.lines[p.Line], t.texts[p.What] = true, true
	}
	same := func(p Problem) saying { return saying{p.File, p.What, p.Do, p.Warning, -1} } // to the letter
	for _, p := range l {
		if p.Line <= 0 {
			continue
		}
		count(same(p), p)
		if s := sayingOf(p); s != same(p) {
			count(s, p)
		}
	}
	var out List
	for _, p := range l {
		s := sayingOf(p)
		if t := of[s]; t != nil && !t.often(s) {
			s = same(p)
		}
		if t := of[s]; t != nil && p.Line > 0 && t.often(s) {
			if t.said {
				continue
			}
			t.said = true
			p.What += t.more(s, p)
		}
		out = append(out, p)
	}
	return out
}
