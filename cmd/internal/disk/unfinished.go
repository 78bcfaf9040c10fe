package disk

import (
	"os"
	"sync"
)

// halfWritten are the files that are being written at this moment. It is the
// process's and no caller's: a signal reaches the process.
var halfWritten = &fileSet{names: map[string]bool{}}

// Hold has stop called before the process ends early, for a writer that keeps its own
// files: stop waits for what it writes and lets it begin no more, or takes away what
// only a living process needs.
func Hold(stop func()) { halfWritten.hold(stop) }

// Abandon removes the files that are half written and keeps others from being begun,
// for a process that ends at once.
func Abandon() { halfWritten.removeAll() }

type fileSet struct {
	mu    sync.Mutex
	names map[string]bool
	holds []func() // see Hold
}

func (s *fileSet) hold(stop func()) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.holds = append(s.holds, stop)
}

func (s *fileSet) add(name string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.names[name] = true
}

func (s *fileSet) drop(name string) {
	s.mu.Lock()
	defer s.mu.Unlock()
	delete(s.names, name)
}

// removeAll removes the files and keeps others from being begun.
func (s *fileSet) removeAll() {
	s.mu.Lock() // for good
	for _, stop := range s.holds {
		stop()
	}
	for name := range s.names {
		os.Remove(name)
	}
}
