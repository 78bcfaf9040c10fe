// Package finding says what a diagnosis found in the words of the trade: what a fault is
// called and how bad it is, where to search for it and what to do about it, what a reading
// sets apart, and what may have been written down wrong and how to settle that.
//
// It is given what the diagnosis gives, in SI, and says it in the reader's units. A
// sentence about a fault, a place or a remedy stands here and nowhere else; the few words
// that go with a kind wherever it is named are package show's. What all adds up to for
// one result is package report's.
package finding
