package problem

import "strings"

// Joined says how ids are joined, where they stand with a comma or the like between
// them; false where they don't.
func Joined(ids string) (do string, ok bool) {
	parts := strings.FieldsFunc(ids, func(c rune) bool { return strings.ContainsRune(",;&", c) })
	if len(parts) < 2 {
		return "", false
	}
	for i := range parts {
		parts[i] = strings.TrimSpace(parts[i])
	}
	return "join them with +: " + strings.Join(parts, "+"), true
}

// AndList is "a, b and c".
func AndList(s []string) string {
	if len(s) < 2 {
		return strings.Join(s, "")
	}
	return strings.Join(s[:len(s)-1], ", ") + " and " + s[len(s)-1]
}

// OrList is "a, b or c"; there is at least one.
func OrList(s []string) string {
	if len(s) == 1 {
		return s[0]
	}
	return strings.Join(s[:len(s)-1], ", ") + " or " + s[len(s)-1]
}
