package console

import "errors"

// Exit statuses.
const (
	Done    = 0
	Faulty  = 1 // a fault is asserted, with --fail-on-fault
	NotDone = 2 // bad input or usage, or it could not be done
	Unclear = 3 // something is probably wrong and no fault is asserted, with --fail-on-fault
	Stopped = 4 // it was stopped before its end, by --timeout or a signal; what is known so far is given
)

// ErrFaults says that a fault is asserted and the user wants that as a status.
var ErrFaults = errors.New("a fault is asserted")

// ErrUnclear says that something is probably wrong, that no fault is asserted,
// and that the user wants that as a status.
var ErrUnclear = errors.New("something is probably wrong, and the readings don't say what")
