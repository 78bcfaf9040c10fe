package show

import (
	"fmt"
	"strconv"
	"strings"
)

// Unbroken keeps a value and its unit on one line.
func Unbroken(s string) string { return strings.ReplaceAll(s, " ", "\u00a0") }

// Gates says which gates are open.
func Gates(open string) string {
	switch open {
	case "all":
		return "all gates open"
	case "none":
		return "all gates shut"
	}
	if n := strings.Count(open, "+"); n > 0 {
		return fmt.Sprintf("gates %s open", strings.ReplaceAll(open, "+", " + "))
	}
	return "gate " + open + " open"
}

// Quantity is a quantity's name in plain words.
func Quantity(q string) string { return strings.ReplaceAll(q, "_", " ") }

// Lines names lines of the readings file.
func Lines(ns []int) string {
	if len(ns) == 0 {
		return ""
	}
	s := Each(ns, strconv.Itoa)
	if len(s) > 4 {
		return fmt.Sprintf("lines %d-%d", ns[0], ns[len(ns)-1])
	}
	if len(s) == 1 {
		return "line " + s[0]
	}
	return "lines " + strings.Join(s, ", ")
}
