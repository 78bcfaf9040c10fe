// Package dice is the seeded chance that made-up plants and surveys are drawn with:
// a stream for each concern, and the few draws that are needed. The same seed and
// stream give the same draws.
package dice
