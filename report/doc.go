// Package report shows a diagnosis: as JSON for programs and as text for
// people.
//
// The way from a diagnosis to what is read:
//
//  1. From turns a diagnose.Result, which is SI, into a Result in the units
//     that the reader wants, rounded to the digits that mean something. This is
//     the only place where numbers are converted.
//  2. JSON writes a Result; Read reads one back, so that a saved result can be
//     shown again.
//  3. Text tells a Result to a person. It decides what is said in which order;
//     how text is set in lines and columns is package layout's.
//
// Every renderer starts from the same Result, so none can contradict another.
package report
