// Package tell shows a shop as its system file has it: in sentences whose words can be
// tapped, each with what is wrong at its place, and in a drawing. A file that lacks much
// is told as well as a whole one. What a tap asks and changes stands in package ask.
package tell
