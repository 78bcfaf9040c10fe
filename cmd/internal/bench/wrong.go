package bench

import (
	"errors"
	"io/fs"

	"lostair/cmd/internal/bench/pages"
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
	List     []pages.Telling
}

// bare is err without the path and the name of the system call.
func bare(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

func tellings(err error) []pages.Telling {
	switch x := err.(type) {
	case problem.List:
		return pages.Told(x)
	case wrong:
		return []pages.Telling{{What: x.what, Do: x.do}}
	}
	return []pages.Telling{{What: err.Error()}}
}
