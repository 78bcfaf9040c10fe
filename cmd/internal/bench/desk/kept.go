package desk

import (
	"slices"
	"sync"

	"lostair/diagnose"
	"lostair/readings/units"
	"lostair/report"
)

// memo keeps the last diagnoses, which several pages and devices ask for.
type memo struct {
	mu   sync.Mutex
	keys []string
	kept []*Answered
}

// Answered is a diagnosis, also in the reader's units.
type Answered struct {
	SI    *diagnose.Standing
	Shown *report.Result
	Units units.System
}

const mostKept = 8

// of gives what was worked out for a key, or works it out.
func (m *memo) of(key string, work func() (*Answered, error)) (*Answered, error) {
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
