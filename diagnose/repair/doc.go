// Package repair says what changed between a survey before a repair and one
// after it: what is gone, what is new, and what each port gained.
//
// Both surveys are fitted at once. What they share is how the system is built, or
// a fault that is still there; what differs is the repair, the filter or the day.
// What may be wrong before, after, or at both times are sites of their own to the
// search that one survey has. Values are SI.
package repair
