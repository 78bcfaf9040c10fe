//go:build race

package diagnose_test

// raced: the race detector watches.
const raced = true
