package problem

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestString(t *testing.T) {
	for want, p := range map[string]Problem{
		"s.csv:3:7: no such tap; write S1": {File: "s.csv", Line: 3, Column: 7, What: "no such tap", Do: "write S1"},
		"s.csv:3: no such tap":             {File: "s.csv", Line: 3, What: "no such tap"},
		"s.csv: warning: no readings":      {File: "s.csv", What: "no readings", Warning: true},
		"-:1:1: warning: odd; look at it":  {File: "-", Line: 1, Column: 1, What: "odd", Do: "look at it", Warning: true},
		"no such tap; write S1":            {What: "no such tap", Do: "write S1"},
		"s.csv: a column without a line":   {File: "s.csv", Column: 4, What: "a column without a line"},
	} {
		assert.Equal(t, want, p.String())
	}
}

func TestErr(t *testing.T) {
	bad, odd := Problem{File: "f", What: "bad"}, Problem{File: "f", What: "odd", Warning: true}
	assert.NoError(t, List(nil).Err())
	assert.NoError(t, List{odd, odd}.Err())
	assert.EqualError(t, List{odd, bad}.Err(), "f: warning: odd\nf: bad")
}

func TestSort(t *testing.T) {
	l := List{{File: "b", Line: 1}, {File: "a", Line: 2, Column: 3, What: "y"}, {File: "a", Line: 2, Column: 3, What: "x"},
		{File: "a", Line: 2, Column: 1}, {File: "a", Line: 10}, {File: "a"}}
	l.Sort()
	assert.Equal(t, List{{File: "a"}, {File: "a", Line: 2, Column: 1}, {File: "a", Line: 2, Column: 3, What: "x"},
		{File: "a", Line: 2, Column: 3, What: "y"}, {File: "a", Line: 10}, {File: "b", Line: 1}}, l)
}

// Slips of the kind that hands make, and names that must not be taken for one
// another: on two ids that differ by their number alone, "did you mean" would
// send the reader to the wrong tap.
func TestNearest(t *testing.T) {
	columns := []string{"open", "point", "quantity", "value", "unit", "instrument", "hose_off", "position", "date", "note"}
	quantities := []string{"static_pressure", "suction", "velocity_pressure", "velocity", "centre_velocity", "flow", "pressure_drop"}
	ids := []string{"saw-drop", "saw-hose", "sander-run", "S1", "S2", "M1", "main"}
	for _, c := range []struct {
		name  string
		among []string
		want  string // "": nothing is near
	}{
		{"quanitty", columns, "quantity"}, // neighbours swapped
		{"quantty", columns, "quantity"},  // left out
		{"vallue", columns, "value"},      // doubled
		{"Unit", columns, "unit"},         // case
		{"instument", columns, "instrument"},
		{"hoseoff", columns, "hose_off"},
		{"psition", columns, "position"},
		{"pont", columns, "point"},
		{"operator", columns, ""},
		{"weather", columns, ""},
		{"colour", columns, ""},
		{"", columns, ""},
		{"static_presure", quantities, "static_pressure"},
		{"staticpressure", quantities, "static_pressure"},
		{"center_velocity", quantities, "centre_velocity"},
		{"velocty", quantities, "velocity"},
		{"pressure-drop", quantities, "pressure_drop"},
		{"flwo", quantities, "flow"},
		{"humidity", quantities, ""},
		{"temperature", quantities, ""},
		{"saw-hsoe", ids, "saw-hose"},
		{"saw-dorp", ids, "saw-drop"},
		{"sanderrun", ids, "sander-run"},
		{"mian", ids, "main"},
		{"S3", ids, ""},
		{"M2", ids, ""},
		{"lathe", ids, ""},
		{"x", nil, ""},
	} {
		got, ok := Nearest(c.name, c.among)
		assert.Equal(t, c.want != "", ok, c.name)
		if ok {
			assert.Equal(t, c.want, got, c.name)
		}
	}
}

// Of equally near names the first in the alphabet wins, whatever their order.
func TestNearestIsTotal(t *testing.T) {
	for _, among := range [][]string{{"drop-b", "drop-c"}, {"drop-c", "drop-b"}} {
		got, ok := Nearest("drop-a", among)
		assert.True(t, ok)
		assert.Equal(t, "drop-b", got)
	}
}

// The distance is symmetric, zero only between equals, and at most the
// longer length.
func TestDistanceLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.StringMatching(`[abcä]{0,7}`)
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		d := distance(a, b)
		assert.Equal(t, d, distance(b, a))
		assert.Equal(t, a == b, d == 0)
		assert.LessOrEqual(t, d, max(len([]rune(a)), len([]rune(b))))
	})
	for _, c := range []struct {
		a, b string
		d    int
	}{{"ab", "ba", 1}, {"abc", "acb", 1}, {"abcd", "badc", 2}, {"ä", "a", 1}, {"", "abc", 3}, {"kitten", "sitting", 3}} {
		assert.Equal(t, c.d, distance(c.a, c.b), "%s %s", c.a, c.b)
	}
}

// What is said alike of many lines is said once; what differs in a word, its file or
// its weight is not, nor what stands in a few lines only.
func TestOnce(t *testing.T) {
	gate := func(line int) Problem {
		return Problem{File: "s.csv", Line: line, Column: 3, What: `there is no gate "x"`, Do: "write y"}
	}
	l := List{gate(2), gate(3), {File: "s.csv", Line: 3, What: "other"}, {File: "t.csv", Line: 4, What: `there is no gate "x"`, Do: "write y"}, gate(5)}
	assert.Equal(t, l, l.Once())
	l = append(l, gate(9))
	assert.Equal(t, "s.csv:2:3: there is no gate \"x\", and so in 3 more places up to line 9; write y\ns.csv:3: other\nt.csv:4: there is no gate \"x\"; write y", l.Once().Error())
	assert.Equal(t, `there is no gate "x"`, l[0].What, "the list stays as it is")
	var whole, warned List
	for range 4 {
		whole = append(whole, Problem{File: "s.csv", What: "a"})
	}
	assert.Len(t, whole.Once(), 4, "a file as a whole has no lines to count")
	for i := range 4 {
		warned = append(warned, Problem{File: "s.csv", Line: 1 + i, What: "a", Warning: i > 1})
	}
	assert.Len(t, warned.Once(), 4)
}

// The same mistake in many rows of the system file differs by their ids alone, and is
// said of the first. Ids that aren't known are each worth a line.
func TestOnceOfRows(t *testing.T) {
	say := func(line int, what string) Problem {
		return Problem{File: "s.yaml", Line: line, What: what, Do: "add it"}
	}
	l := List{say(3, `duct "a" has no material`), say(4, `duct "b" has no material`), say(4, `duct "b" has no length`), say(5, `duct "c" has no material`)}
	assert.Equal(t, l, l.Once())
	l = append(l, say(7, `duct "d" has no material`), say(8, `port "d" has no material`))
	assert.Equal(t, "s.yaml:3: duct \"a\" has no material, and so for 3 more ducts up to line 7; add it\n"+
		"s.yaml:4: duct \"b\" has no length; add it\ns.yaml:8: port \"d\" has no material; add it", l.Once().Error())
	var gates, strangers, openings List
	for i, id := range []string{"a", "b", "c", "d"} {
		gates = append(gates, say(3+i, "the gate of duct \""+id+"\" has no id"))
		strangers = append(strangers, say(3+i, "there is no gate \""+id+"\""))
		openings = append(openings, say(3+i, "the opening of port \""+id+"\" has no height"))
	}
	assert.Equal(t, `s.yaml:3: the gate of duct "a" has no id, and so for 3 more ducts up to line 6; add it`, gates.Once().Error())
	assert.Equal(t, `s.yaml:3: the opening of port "a" has no height, and so for 3 more ports up to line 6; add it`, openings.Once().Error())
	assert.Len(t, strangers.Once(), 4)
}

// Values that are wrong in one way are said once where line after line has one: then it
// is the column. Here and there each is worth a line, but for those that are the same.
func TestOnceOfValues(t *testing.T) {
	say := func(line int, what string) Problem {
		return Problem{File: "s.csv", Line: line, What: what, Do: "mend it"}
	}
	column := List{say(2, `"1,1" is no number`), say(3, `"1,2" is no number`), say(4, `"1,3" is no number`), say(5, `"1,4" is no number`)}
	assert.Equal(t, `s.csv:2: "1,1" is no number, and so for 3 more values up to line 5; mend it`, column.Once().Error())
	here := append(List{}, column...)
	here[3].Line = 9
	assert.Equal(t, here, here.Once())
	here = append(here, say(11, `"x" is no number`), say(12, `"x" is no number`), say(13, `"x" is no number`), say(15, `"x" is no number`))
	assert.Len(t, here.Once(), 5)
	assert.Contains(t, here.Once().Error(), `s.csv:11: "x" is no number, and so in 3 more places up to line 15`)
	signs := List{say(2, "static_pressure at S1 says x"), say(4, "static_pressure at M1 says x"), say(6, "static_pressure at S1 says x"), say(9, "static_pressure at L1 says x")}
	assert.Equal(t, "s.csv:2: static_pressure at S1 says x, and so for 3 more readings up to line 9; mend it", signs.Once().Error())
}
