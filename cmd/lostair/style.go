package main

import (
	"lostair/report/show"
)

// mostWidth is how much of a wide terminal is used: longer lines are hard to read.
const mostWidth = 120

// styleFor is how text goes to the output: in colour on a terminal only, and not
// if the user or the terminal doesn't want it (https://no-color.org).
func styleFor(s streams, plain bool) show.Style {
	st := show.Style{Plain: plain, Width: 80}
	if s.outWidth > 0 {
		st.Width = min(s.outWidth, mostWidth)
		st.Color = !plain && s.env("NO_COLOR") == "" && s.env("TERM") != "dumb"
	}
	return st
}

// styleOf is styleFor with everything, or the first things alone.
func styleOf(s streams, plain, all bool) show.Style {
	st := styleFor(s, plain)
	st.All = all
	return st
}
