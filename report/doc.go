// Package report is what is said of a diagnosis: the values in the reader's units
// and the sentences about them, and their JSON for programs.
//
// The way from a diagnosis to what is read:
//
//  1. From turns a diagnose.Result, which is SI, into a Result in the units
//     that the reader wants, rounded to the digits that mean something. This is
//     the only place where numbers are converted.
//  2. JSON writes a Result; Read reads one back, so that a saved result can be
//     shown again.
//  3. Package text tells a Result to a person in text, package html on a page.
//     What both say is said here.
//
// Every renderer starts from the same Result, so none can contradict another.
package report
