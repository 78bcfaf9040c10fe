package main

import (
	"bufio"
	"fmt"
	"os"
	"strings"
)

// tally counts what became of mutants.
type tally struct {
	died, late, explained, unexplained, unbuilt int
}

func (t *tally) count(f fate, why string) {
	switch {
	case f == died:
		t.died++
	case f == late:
		t.late++
	case f == unbuilt:
		t.unbuilt++
	case why != "":
		t.explained++
	default:
		t.unexplained++
	}
}

func (t *tally) add(u tally) {
	t.died += u.died
	t.late += u.late
	t.explained += u.explained
	t.unexplained += u.unexplained
	t.unbuilt += u.unbuilt
}

// score is the share that died of those that are not explained.
func (t tally) score() float64 {
	if n := t.died + t.late + t.unexplained; n > 0 {
		return float64(t.died+t.late) / float64(n)
	}
	return 1
}

func (t tally) String() string {
	return fmt.Sprintf("%d died, %d more took too long, %d lived, %d lived and are explained, %d do not compile: %.1f %%",
		t.died, t.late, t.unexplained, t.explained, t.unbuilt, 100*t.score())
}

// readExplained reads survivors and why each may live: a line "file | line of code
// | which of its kind there | what it becomes", then a tab and the reason.
func readExplained(name string) (map[string]string, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	out := map[string]string{}
	r := bufio.NewScanner(f)
	for n := 1; r.Scan(); n++ {
		line := r.Text()
		if line == "" || strings.HasPrefix(line, "#") {
			continue
		}
		key, why, ok := strings.Cut(line, "\t")
		if !ok || strings.TrimSpace(why) == "" {
			return nil, fmt.Errorf("%s:%d: no tab and reason", name, n)
		}
		out[key] = strings.TrimSpace(why)
	}
	return out, r.Err()
}
