package readings

import (
	"cmp"
	"fmt"
	"slices"

	"lostair/readings/problem"
)

// mostProblems is how many problems of one file are listed; a file that is
// wrong throughout would bury its first mistake under the rest.
const mostProblems = 200

// fault is what is wrong with a text, before its place is known.
type fault struct{ what, do string }

// problems gathers what is wrong with one file.
type problems struct {
	file  string
	sheet string // of a workbook
	list  problem.List
}

func (p *problems) fail(line, column int, what, do string) {
	p.list = append(p.list, problem.Problem{File: p.file, Sheet: p.sheet, Line: line, Column: column, What: what, Do: do})
}

func (p *problems) warn(line, column int, what, do string) {
	p.list = append(p.list, problem.Problem{File: p.file, Sheet: p.sheet, Line: line, Column: column, What: what, Do: do, Warning: true})
}

// report adds f, if there is one, and says whether there was none.
func (p *problems) report(line, column int, f *fault) bool {
	if f != nil {
		p.fail(line, column, f.what, f.do)
	}
	return f == nil
}

// sorted is the list in file order, cut to mostProblems. Errors are kept
// before warnings, so that a cut list fails exactly if the whole would.
func (p *problems) sorted() problem.List {
	p.list.Sort()
	more := len(p.list) - mostProblems
	if more <= 0 {
		return p.list
	}
	failed := p.list.Err() != nil
	slices.SortStableFunc(p.list, func(a, b problem.Problem) int { return cmp.Compare(weight(a), weight(b)) })
	cut := append(problem.List(nil), p.list[:mostProblems]...)
	cut.Sort()
	return append(cut, problem.Problem{File: p.file, Sheet: p.sheet, What: fmt.Sprintf("%d more problems are not listed", more),
		Do: "correct these first", Warning: !failed})
}

func weight(p problem.Problem) int {
	if p.Warning {
		return 1
	}
	return 0
}

// quote shows a text as written, cut if it is long.
func quote(text string) string { return problem.Quote(text, 40) }
