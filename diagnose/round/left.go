package round

import (
	"strings"

	"lostair/readings"
)

// Left is what is not to be asked: a question, or a point in every setting.
type Left struct {
	Key   string // of a question
	Point string // of a point; then Key is empty
	Why   string // "skipped", "out of reach" or "no such tap"
}

// The reasons.
const (
	Skipped   = "skipped"
	OutReach  = "out of reach"
	NoSuchTap = "no such tap"
)

const leftLead = "# not read: "

// String is the comment by which a readings file remembers it.
func (l Left) String() string {
	what := l.Key
	if l.Point != "" {
		what = l.Point
	}
	return leftLead + what + " (" + l.Why + ")"
}

// LeftIn finds in the text of a readings file what is not to be asked.
func LeftIn(text string) []Left {
	var out []Left
	for _, line := range strings.Split(text, "\n") {
		rest, ok := strings.CutPrefix(strings.TrimSpace(line), leftLead)
		at := strings.LastIndex(rest, " (")
		if !ok || at < 0 || !strings.HasSuffix(rest, ")") {
			continue
		}
		l := Left{Key: rest[:at], Why: rest[at+2 : len(rest)-1]}
		if !strings.Contains(l.Key, "|") {
			l.Key, l.Point = "", l.Key
		}
		out = append(out, l)
	}
	return out
}

// covers is whether a row is not to be asked.
func (l Left) covers(r *readings.Row) bool {
	if l.Point != "" {
		return r.Point == l.Point
	}
	return l.Key == KeyOf(r)
}

// at is the point that was not read.
func (l Left) at() string {
	if parts := strings.Split(l.Key, "|"); len(parts) > 1 {
		return parts[1]
	}
	return l.Point
}

// Comment is the line by which a readings file remembers the complaint.
func (c Complaint) Comment() string { return readings.ComplaintLead + c.String() }
