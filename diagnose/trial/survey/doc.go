// Package survey draws which readings a survey takes of a made-up plant, in which
// settings of the gates and with what, and writes rows down as a person does: rounded
// to the scale of the instrument, in the units of the file.
//
// It knows the page of the plant alone. What the instruments show is for package trial,
// which puts the values in. Values are SI until they are written.
package survey
