// Package round leads a person through a shop one reading at a time: what to read
// next, whether what was typed can be right, what it means, when it is enough, and
// which readings prove a repair.
//
// A round is a value: Begin works out where it stands from the system, the rows
// written down so far, the complaint and what can't be read. It keeps nothing of its
// own, so the file of readings is the whole state, and a round goes on where its
// file left off, in whatever program. It knows nothing of screens, pages or files.
//
// The first questions come from the complaint, since a diagnosis needs a reading to
// start from. After that they are the diagnosis' own: what most changes what to do
// first, per minute from where the person stands.
//
// Where nobody complains, the round reads what was planned all around before it finds
// nothing, and ends after mostAround answers. Without that it was content after two
// or three answers, the gates of most ports never having been opened.
//
// What is typed is held against what the likely explanations of the readings so far
// foretell, and against what they foretell of the usual slips: a sign, a unit, a
// decimal point, digits swapped, another gate, another tap. A slip is asked about
// where it is likelier than leastDoubt; see slips.go for what that catches.
package round
