package main

import (
	"fmt"
	"strings"
	"sync"

	"lostair/report/layout"
)

// progress is a line on the terminal that says how far the work has got. If
// standard error is no terminal it says nothing.
type progress struct {
	mu      sync.Mutex // a step may come late, from work that was left behind
	ended   bool
	s       streams
	what    string
	percent int
	shown   int // cells
}

func (p *progress) step(done, of int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.s.errWidth == 0 || of <= 0 || p.ended {
		return
	}
	now := 100 * done / of
	if p.shown > 0 && now == p.percent {
		return
	}
	p.percent = now
	line := layout.Clean(fmt.Sprintf("%s: %d %%", p.what, now))
	if layout.Width(line) >= p.s.errWidth {
		line = fmt.Sprintf("%d %%", now)
	}
	p.wipe()
	fmt.Fprint(p.s.err, line)
	p.shown = layout.Width(line)
}

// clear takes the line away for good.
func (p *progress) clear() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.ended = true
	p.wipe()
}

func (p *progress) wipe() {
	if p.shown > 0 {
		fmt.Fprintf(p.s.err, "\r%s\r", strings.Repeat(" ", p.shown))
		p.shown = 0
	}
}
