package main

import (
	"lostair/report/show"
)

// styleFor is how text goes to the output: in colour on a terminal only, and not
// if the user or the terminal doesn't want it (https://no-color.org).
func styleFor(s streams, plain bool) show.Style {
	st := show.Style{Plain: plain, Width: 80}
	if s.outWidth > 0 {
		st.Width = min(s.outWidth, st.Width)
		st.Color = !plain && s.env("NO_COLOR") == "" && s.env("TERM") != "dumb"
	}
	return st
}
