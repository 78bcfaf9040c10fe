package main

import (
	"fmt"
	"strings"

	"lostair/report/layout"
)

// progress is a line on the terminal that says how far the work has got. If
// standard error is no terminal it says nothing.
type progress struct {
	s       streams
	what    string
	percent int
	shown   int // cells
}

func (p *progress) step(done, of int) {
	if p.s.errWidth == 0 || of <= 0 {
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
	p.clear()
	fmt.Fprint(p.s.err, line)
	p.shown = layout.Width(line)
}

// clear takes the line away.
func (p *progress) clear() {
	if p.shown > 0 {
		fmt.Fprintf(p.s.err, "\r%s\r", strings.Repeat(" ", p.shown))
		p.shown = 0
	}
}
