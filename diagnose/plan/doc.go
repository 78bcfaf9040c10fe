// Package plan chooses the readings of a round that tell most for the minutes
// they take, and says what a sound system would show there.
//
// Plan starts from the system, and from surveys if there are any; Ranges says for
// given rows what nine in ten sound systems show. Values are SI, times minutes.
package plan
