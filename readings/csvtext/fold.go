package csvtext

import (
	"strings"
	"unicode"
)

// FoldName is the name of a column, or of what a field may hold, in one form: in small
// letters, with an underscore for a blank or a hyphen.
func FoldName(s string) string {
	return strings.Map(func(r rune) rune {
		if r == ' ' || r == '-' {
			return '_'
		}
		return unicode.ToLower(r)
	}, strings.TrimSpace(s))
}
