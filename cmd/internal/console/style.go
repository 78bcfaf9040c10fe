package console

import (
	"lostair/report/show"
)

// mostWidth is how much of a wide terminal is used: longer lines are hard to read.
const mostWidth = 120

// StyleFor is how text goes to the output: in colour on a terminal only, and not
// if the user or the terminal doesn't want it (https://no-color.org).
func StyleFor(s Streams, plain bool) show.Style {
	st := show.Style{Plain: plain, Width: 80}
	if s.OutWidth > 0 {
		st.Width = min(s.OutWidth, mostWidth)
		st.Color = !plain && s.Env("NO_COLOR") == "" && s.Env("TERM") != "dumb"
	}
	return st
}

// AllStyle is StyleFor with everything, or the first things alone.
func AllStyle(s Streams, plain, all bool) show.Style {
	st := StyleFor(s, plain)
	st.All = all
	return st
}
