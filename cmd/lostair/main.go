// Command lostair finds where a workshop's dust-extraction system loses its
// air: from a system file and a survey of readings to named faults with their
// probabilities, what to do first and what to read next.
//
// Exit status: 0 done; 1 only with --fail-on-fault when a fault is asserted; 2
// bad input or usage, or it could not be done; 3 only with --fail-on-fault when
// something is probably wrong and the readings don't say what; 4 stopped before
// its end, by --timeout or a signal, with what was known by then.
package main

import (
	"os"
	"runtime/debug"

	"lostair/cmd/internal/console"
)

func main() {
	// A run is short and allocates much that it drops at once: collecting less
	// often saves a tenth of its time, and the limit keeps large plants small.
	debug.SetGCPercent(seldom)
	debug.SetMemoryLimit(soft)
	os.Exit(program())
}

const (
	seldom = 400       // per cent that the heap may grow by
	soft   = 900 << 20 // bytes from which it is collected more often
)

// program runs on the process's own streams.
func program() int {
	ctx, stop := console.Stopping()
	defer stop()
	return run(ctx, os.Args[1:], console.Own())
}
