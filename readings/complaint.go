package readings

import (
	"slices"
	"strings"
)

// ComplaintLead begins the comment by which a file remembers why a round was made.
const ComplaintLead = "# Complaint: "

// Reasons for a round in which nobody complains of anything.
const (
	ForNewInstall = "new install"
	ForMonth      = "monthly check"
	ForRepair     = "after a repair"
)

// ComplaintIn finds the complaint in the text of a readings file; "" if there is none.
func ComplaintIn(text string) string {
	for line := range strings.SplitSeq(text, "\n") {
		line = strings.TrimSpace(line)
		if _, rest, ok := strings.Cut(line, ComplaintLead[2:]); ok && strings.HasPrefix(line, "#") {
			return strings.TrimSuffix(strings.TrimSpace(rest), ".")
		}
	}
	return ""
}

// Weak is whether the survey was begun because something was wrong.
func (s *Survey) Weak() bool {
	return s.Complaint != "" && !slices.Contains([]string{ForNewInstall, ForMonth, ForRepair}, s.Complaint)
}
