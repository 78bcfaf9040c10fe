package show

import (
	"fmt"
	"strings"
)

// Each converts a list; the result is never nil, so that JSON shows [] and not
// null.
func Each[A, B any](in []A, f func(A) B) []B {
	out := make([]B, len(in))
	for i, x := range in {
		out[i] = f(x)
	}
	return out
}

// Choose is "a, b or c".
func Choose(s []string) string {
	if len(s) < 2 {
		return strings.Join(s, "")
	}
	return strings.Join(s[:len(s)-1], ", ") + " or " + s[len(s)-1]
}

// MostGates is how many of a list are named; the rest are counted, and a setting of
// more gates is called by a number.
const MostGates = 12

// Few is listed, of many the first.
func Few(s []string) string {
	if len(s) <= MostGates {
		return Listed(s)
	}
	return fmt.Sprintf("%s and %d more", strings.Join(s[:MostGates], ", "), len(s)-MostGates)
}

// Commas is "a, b, c".
func Commas(s []string) string { return strings.Join(s, ", ") }

// Listed is "a, b and c".
func Listed(s []string) string {
	if len(s) < 2 {
		return strings.Join(s, "")
	}
	return strings.Join(s[:len(s)-1], ", ") + " and " + s[len(s)-1]
}

// Title gives a phrase a capital.
func Title(s string) string {
	if s == "" || s[0] < 'a' || s[0] > 'z' {
		return s
	}
	return string(s[0]-'a'+'A') + s[1:]
}

// Lower begins a sentence's words in the middle of another.
func Lower(s string) string {
	if s == "" || s[0] < 'A' || s[0] > 'Z' {
		return s
	}
	return string(s[0]-'A'+'a') + s[1:]
}

// Plural is a number of things, of which there may be one.
func Plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}
