// Package guided has the words of a guided round: where to go, what to hold where,
// what a value means, what may have slipped, and what the readings point to so far.
package guided
