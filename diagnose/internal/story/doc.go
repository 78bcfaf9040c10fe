// Package story finds the episodes of a history: what was wrong, where, from which
// survey on and until which, and how bad it was last.
//
// The surveys are judged together, beside what the reference has taught (package
// indicator). Each place is weighed by what all surveys say of it (story.go), over all
// ways in which a fault can have come and gone (paths.go) with a severity that moves
// little from one survey to the next (severitychain.go). What is one episode over
// again is told once (same.go), and other places are tried (elsewhere.go). Severities
// are SI.
package story
