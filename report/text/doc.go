// Package text tells a diagnosis to a person as text: on one screen whether something
// is broken and where to search, then what is short, what to do and what to read next.
//
// It decides what is told in which order and how much of it. The sentences are those
// of package report, so that a page says the same; how text is set in lines and
// columns is package layout's. What the texts of other subjects share with it, doubts,
// cautions and the smallest faults that show, stands in shared.go.
package text
