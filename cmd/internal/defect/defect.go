// Package defect turns a panic into an error that a person can be told: it is the
// program's own, none of their files'.
package defect

import (
	"errors"
	"fmt"
	"runtime/debug"
)

// traced is a panic of another goroutine that was handed on, with where it came about.
type traced interface {
	Trace() (what any, stack []byte)
}

// Error is a defect that came to light in the middle of some work.
type Error struct {
	What  string
	Stack string // where, for who mends it
}

func (e *Error) Error() string {
	return fmt.Sprintf("this is a defect of lostair, not of your files (%s); what was saved stays saved", e.What)
}

// Caught does some work. A panic in it comes back as an *Error.
func Caught(work func() error) (err error) {
	defer func() {
		switch x := recover().(type) {
		case nil:
		case traced:
			what, stack := x.Trace()
			err = &Error{fmt.Sprint(what), string(stack)}
		default:
			err = &Error{fmt.Sprint(x), string(debug.Stack())}
		}
	}()
	return work()
}

// StackOf is where a defect came to light; "" if err is none.
func StackOf(err error) string {
	var e *Error
	if errors.As(err, &e) {
		return e.Stack
	}
	return ""
}
