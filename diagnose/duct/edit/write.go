package edit

import (
	"strings"

	"lostair/diagnose/duct/systemfile"
)

// Scalar writes a text so that YAML reads the same text.
func Scalar(s string) string { return systemfile.Scalar(s) }

// Row writes a set of keys on one line; the values are YAML already. Pairs are
// key, value, key, value; those with an empty value are left out.
func Row(pairs ...string) string {
	var parts []string
	for i := 0; i+1 < len(pairs); i += 2 {
		if pairs[i+1] != "" {
			parts = append(parts, pairs[i]+": "+pairs[i+1])
		}
	}
	return "{" + strings.Join(parts, ", ") + "}"
}
