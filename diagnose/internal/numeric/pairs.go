package numeric

import (
	"fmt"
	"runtime/debug"
	"sync"
)

// Workers is how many fits go on at once.
const Workers = 2

// OnEachWorker runs work for each worker at the same time. Each does a share that
// does not hang on how fast the others are. A panic in one goes on in the caller,
// once all have ended, as a *Broken.
func OnEachWorker(work func(w int)) {
	var wg sync.WaitGroup
	var broken [Workers]*Broken
	for w := range Workers {
		wg.Go(func() {
			defer func() {
				if x := recover(); x != nil {
					broken[w] = &Broken{x, debug.Stack()}
				}
			}()
			work(w)
		})
	}
	wg.Wait()
	for _, b := range broken {
		if b != nil {
			panic(b)
		}
	}
}

// Broken is a panic of a worker with the stack where it came about. A worker's panic
// would else end the program, whoever stands ready in the caller.
type Broken struct {
	What  any
	Stack []byte
}

// Trace is what went wrong, and where.
func (b *Broken) Trace() (what any, stack []byte) { return b.What, b.Stack }

// Error is the same in text.
func (b *Broken) Error() string { return fmt.Sprintf("%v\n\n%s", b.What, b.Stack) }

// ForEach calls f for 0..n-1 from the workers, each its own share, so that the
// same work gives the same bytes whatever the machine does meanwhile.
func ForEach(n int, f func(i int)) {
	OnEachWorker(func(w int) {
		for i := w; i < n; i += Workers {
			f(i)
		}
	})
}
