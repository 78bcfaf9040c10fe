package bench

import (
	"slices"
	"sync"

	"lostair/diagnose"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
)

// memo keeps the last diagnoses, which several pages and devices ask for.
type memo struct {
	mu   sync.Mutex
	keys []string
	kept []*answered
}

// answered is a diagnosis, also in the reader's units.
type answered struct {
	SI    *diagnose.Standing
	Shown *report.Result
	Units units.System
}

const mostKept = 8

// of gives what was worked out for a key, or works it out.
func (m *memo) of(key string, work func() (*answered, error)) (*answered, error) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if i := slices.Index(m.keys, key); i >= 0 {
		return m.kept[i], nil
	}
	a, err := work()
	if err != nil {
		return nil, err
	}
	m.keys, m.kept = append(m.keys, key), append(m.kept, a)
	if len(m.keys) > mostKept {
		m.keys, m.kept = m.keys[1:], m.kept[1:]
	}
	return a, nil
}

// keptPlan keeps the round planned last.
type keptPlan struct {
	mu   sync.Mutex
	key  string
	rows []readings.Row
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
	e.seen[id] = true
}
