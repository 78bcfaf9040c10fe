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
	for _, line := range strings.Split(text, "\n") {
		if _, rest, ok := strings.Cut(strings.TrimSpace(line), ComplaintLead[2:]); ok && strings.HasPrefix(strings.TrimSpace(line), "#") {
			return strings.TrimSuffix(strings.TrimSpace(rest), ".")
		}
	}
	return ""
}

// Weak is whether the survey was begun because something was wrong.
func (s *Survey) Weak() bool {
	return s.Complaint != "" && !slices.Contains([]string{ForNewInstall, ForMonth, ForRepair}, s.Complaint)
}
