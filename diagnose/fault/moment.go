package fault

// Moment is when a fault is there, of two surveys weighed as one.
type Moment uint8

const (
	Before Moment = 1 << iota
	After
	Always = Before | After
)

// Moments in the order in which they are tried.
var Moments = [...]Moment{Before, After, Always}

// At is whether it is there in the k-th survey; what has no moment is there in both.
func (m Moment) At(k int) bool { return m == 0 || m&(1<<k) != 0 }
