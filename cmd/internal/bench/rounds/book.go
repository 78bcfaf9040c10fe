package rounds

import (
	"sync"

	"lostair/cmd/internal/bench/desk"
	"lostair/diagnose/round"
)

// Book is what is remembered of a shop's rounds from one request to the next, and what
// answers them.
type Book struct {
	entered entries
	around  desk.KeptPlan // what is read where nobody complains of anything
	proved  keptProof
}

// keptProof keeps the last comparison: it takes seconds, and several pages ask for it.
type keptProof struct {
	mu  sync.Mutex
	key string
	is  *round.Proved
}

// entries remembers which answers were taken, so that one sent twice counts once.
type entries struct {
	mu   sync.Mutex
	seen map[string]bool
}

func (e *entries) has(id string) bool {
	e.mu.Lock()
	defer e.mu.Unlock()
	return e.seen[id]
}

func (e *entries) add(id string) {
	e.mu.Lock()
	defer e.mu.Unlock()
	if e.seen == nil {
		e.seen = map[string]bool{}
	}
	e.seen[id] = true
}
