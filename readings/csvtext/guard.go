package csvtext

import "strings"

// Guard makes what begins like a formula into text. What begins with
// apostrophes and then like one gets another, so that Unguard undoes it.
func Guard(text string) string {
	if formula(text) {
		return "'" + text
	}
	return text
}

// Unguard takes off what Guard put in front.
func Unguard(text string) string {
	if strings.HasPrefix(text, "'") && formula(text) {
		return text[1:]
	}
	return text
}

func formula(text string) bool {
	rest := strings.TrimLeft(text, "'")
	return rest != "" && strings.ContainsAny(rest[:1], "=+-@\t\r")
}
