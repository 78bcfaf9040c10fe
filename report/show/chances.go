package show

import (
	"fmt"
)

// Chance says a probability in words. The scale is ours.
func Chance(p float64) string {
	for _, s := range [...]struct {
		least float64
		word  string
	}{{0.98, "almost certain"}, {0.9, "very likely"}, {0.7, "likely"}, {0.5, "more likely than not"}, {0.25, "possible"}, {0.05, "unlikely"}} {
		if p >= s.least {
			return s.word
		}
	}
	return "very unlikely"
}

// Percent shows a probability; it never claims 0 or 100.
func Percent(p float64) string {
	switch {
	case p > 0.99:
		return "over 99 %"
	case p < 0.01:
		return "under 1 %"
	}
	return fmt.Sprintf("%.0f %%", 100*p)
}
