package main

import "errors"

// Exit statuses.
const (
	done    = 0
	faulty  = 1 // a fault is asserted, with --fail-on-fault
	notDone = 2 // bad input or usage, or it could not be done
	unclear = 3 // something is probably wrong and no fault is asserted, with --fail-on-fault
	stopped = 4 // it was stopped before its end, by --timeout or a signal; what is known so far is given
)

// errFaults says that a fault is asserted and the user wants that as a status.
var errFaults = errors.New("a fault is asserted")

// errUnclear says that something is probably wrong, that no fault is asserted,
// and that the user wants that as a status.
var errUnclear = errors.New("something is probably wrong, and the readings don't say what")
