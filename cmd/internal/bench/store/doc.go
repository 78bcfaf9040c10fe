// Package store is where the files of one shop are, for the bench page: a folder of the
// disk, or memory. It gives a file by its name and writes it whole or not at all, if
// nobody changed it meanwhile. What stands in the files it does not know: that is for
// package desk and those above it.
package store
