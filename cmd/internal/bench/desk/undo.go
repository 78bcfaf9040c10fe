package desk

import "sync"

// step is a change of the system file that can be taken back.
type step struct {
	before []byte
	after  string // version
}

// history is what can be taken back, newest last.
type history struct {
	mu    sync.Mutex
	steps []step
}

func (h *history) push(s step) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if h.steps = append(h.steps, s); len(h.steps) > mostUndo {
		h.steps = h.steps[1:]
	}
}

// last is the newest step, and how many there are.
func (h *history) last() (s step, n int) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if n = len(h.steps); n > 0 {
		s = h.steps[n-1]
	}
	return s, n
}

func (h *history) pop() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.steps = h.steps[:len(h.steps)-1]
}

// mostUndo is how many changes are kept.
const mostUndo = 500
