package diagnose_test

import (
	"strconv"
)

func strconvFull(v float64) string { return strconv.FormatFloat(v, 'f', 9, 64) }
