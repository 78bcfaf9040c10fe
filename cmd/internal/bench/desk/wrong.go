package desk

import (
	"errors"
	"io/fs"

	"lostair/cmd/internal/bench/pages"
	"lostair/readings/problem"
)

// Wrong is what a person is told when something can't be done.
type Wrong struct {
	Status   int
	What, Do string
}

// Refuse says what can't be done, and what to do instead.
func Refuse(status int, what, do string) Wrong { return Wrong{status, what, do} }

func (e Wrong) Error() string { return e.What }

// failure is what the page of an error is given.
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

// Tellings is an error as a page says it.
func Tellings(err error) []pages.Telling {
	switch x := err.(type) {
	case problem.List:
		return pages.Told(x)
	case Wrong:
		return []pages.Telling{{What: x.What, Do: x.Do}}
	}
	return []pages.Telling{{What: err.Error()}}
}
