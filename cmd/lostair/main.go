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
	"io"
	"os"
	"runtime/debug"

	"golang.org/x/term"
)

func main() {
	// A run is short and allocates much that it drops at once: collecting less
	// often saves a tenth of its time, and the limit keeps large plants small.
	debug.SetGCPercent(seldom)
	debug.SetMemoryLimit(soft)
	os.Exit(command())
}

const (
	seldom = 400       // per cent that the heap may grow by
	soft   = 900 << 20 // bytes from which it is collected more often
)

// command runs the program on the process's own streams.
func command() int {
	ctx, stop := stopping()
	defer stop()
	out := io.Writer(os.Stdout)
	if outputClosed() {
		out = nowhere{}
	}
	return run(ctx, os.Args[1:], streams{
		in: os.Stdin, out: out, err: os.Stderr, env: os.Getenv,
		outWidth: widthOf(os.Stdout), errWidth: widthOf(os.Stderr), hurry: hurry,
	})
}

// nowhere takes nothing.
type nowhere struct{}

func (nowhere) Write([]byte) (int, error) { return 0, errClosed }

// widthOf is the width of the terminal that f is; 0 if it is none.
func widthOf(f *os.File) int {
	if !term.IsTerminal(int(f.Fd())) {
		return 0
	}
	if w, _, err := term.GetSize(int(f.Fd())); err == nil && w > 0 {
		return w
	}
	return 80
}
