// Package next says what to read or look at next: what is expected to save most
// minutes, since it changes what would be mended first, for the minutes that it
// takes from where the person stands.
//
// The likeliest sets of faults of a diagnosis are rivals. Each foretells what a
// reading would show; a reading on which those differ that ask for different things
// to do is worth its walk. A few are tried in sequence, since two readings may tell
// together what neither tells alone. All values are SI.
package next
