package systemfile

import (
	"regexp"
	"strconv"
	"strings"
)

var simple = regexp.MustCompile(`^[\p{L}][\p{L}\p{N}_-]*( [\p{L}\p{N}_-]+)*$`)

// notText are the words that YAML takes for something else.
var notText = map[string]bool{"null": true, "true": true, "false": true, "y": true, "n": true, "yes": true, "no": true, "on": true, "off": true}

// Scalar writes text so that YAML reads the same text.
func Scalar(s string) string {
	if simple.MatchString(s) && !notText[strings.ToLower(s)] {
		return s
	}
	return strconv.Quote(s)
}
