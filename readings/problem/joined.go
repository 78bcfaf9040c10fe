package problem

import (
	"errors"
	"io/fs"
	"strconv"
	"strings"
	"unicode/utf8"
)

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

// Quote shows a text as written: in quotation marks, in one line, and cut to most
// characters if it is longer.
func Quote(text string, most int) string {
	if utf8.RuneCountInString(text) > most {
		text = string([]rune(text)[:most]) + "…"
	}
	return strconv.Quote(text)
}

// Cause is err without the path, which a problem gives already.
func Cause(err error) string {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		err = pe.Err
	}
	return err.Error()
}
