// Package score tries a program on made-up cases: it writes cases as folders of files,
// reads what was answered, and holds any number of answers against the truth.
//
// What makes the cases is package trial. Values are SI; truth.json is in the units of
// the case's files, and an answer in those that it names.
package score
