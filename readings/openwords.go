package readings

import (
	"strings"
)

// OpenWords says which gates are open.
func OpenWords(o Open) string {
	switch {
	case o.All:
		return "all gates open"
	case len(o.Gates) == 0:
		return "all gates shut"
	}
	return strings.Join(o.Gates, " + ") + " open"
}
