package bench

import (
	"errors"
	"fmt"
	"io/fs"

	"lostair/readings/problem"
)

// wrong is what a person is told when something can't be done.
type wrong struct {
	status   int
	what, do string
}

func (e wrong) Error() string { return e.what }

type failure struct {
	What, Do string
	List     []telling
}

// telling is a problem of a file as a page says it.
type telling struct {
	Place, What, Do string
	Warning         bool
}

func told(list problem.List) []telling {
	var out []telling
	for i, p := range list {
		if i == 20 {
			out = append(out, telling{What: fmt.Sprintf("%d more", len(list)-i)})
			break
		}
		t := telling{Place: p.File, What: p.What, Do: p.Do, Warning: p.Warning}
		if p.Line > 0 {
			t.Place = fmt.Sprintf("%s, line %d", p.File, p.Line)
		}
		out = append(out, t)
	}
	return out
}

// bare is err without the path and the name of the system call.
func bare(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

func tellings(err error) []telling {
	switch x := err.(type) {
	case problem.List:
		return told(x)
	case wrong:
		return []telling{{What: x.what, Do: x.do}}
	}
	return []telling{{What: err.Error()}}
}
