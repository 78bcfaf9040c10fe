package numeric

// Evenly picks some of n, in order.
func Evenly(n, some int) []int {
	out := make([]int, 0, some)
	for k := range min(n, some) {
		out = append(out, k*n/min(n, some))
	}
	return out
}
