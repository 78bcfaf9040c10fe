package numeric

import (
	"sync"
)

// Workers is how many fits go on at once.
const Workers = 2

// OnEachWorker runs work for each worker at the same time. Each does a share that
// does not hang on how fast the others are.
func OnEachWorker(work func(w int)) {
	var wg sync.WaitGroup
	for w := range Workers {
		wg.Go(func() { work(w) })
	}
	wg.Wait()
}

// ForEach calls f for 0..n-1 from the workers, each its own share, so that the
// same work gives the same bytes whatever the machine does meanwhile.
func ForEach(n int, f func(i int)) {
	OnEachWorker(func(w int) {
		for i := w; i < n; i += Workers {
			f(i)
		}
	})
}
