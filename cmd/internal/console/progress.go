package console

import (
	"fmt"
	"strings"
	"sync"

	"lostair/report/layout"
)

// Progress is a line on the terminal that says how far the work has got. If
// standard error is no terminal it says nothing.
type Progress struct {
	mu      sync.Mutex // a step may come late, from work that was left behind
	ended   bool
	s       Streams
	what    string
	percent int
	shown   int // cells
}

// NewProgress is the line of the work on what.
func NewProgress(s Streams, what string) *Progress { return &Progress{s: s, what: what} }

// Step says that so many steps are done.
func (p *Progress) Step(done, of int) {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.s.ErrWidth == 0 || of <= 0 || p.ended {
		return
	}
	now := 100 * done / of
	if p.shown > 0 && now == p.percent {
		return
	}
	p.percent = now
	line := layout.Clean(fmt.Sprintf("%s: %d %%", p.what, now))
	if layout.Width(line) >= p.s.ErrWidth {
		line = fmt.Sprintf("%d %%", now)
	}
	p.wipe()
	fmt.Fprint(p.s.Err, line)
	p.shown = layout.Width(line)
}

// Clear takes the line away for good.
func (p *Progress) Clear() {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.ended = true
	p.wipe()
}

func (p *Progress) wipe() {
	if p.shown > 0 {
		fmt.Fprintf(p.s.Err, "\r%s\r", strings.Repeat(" ", p.shown))
		p.shown = 0
	}
}
