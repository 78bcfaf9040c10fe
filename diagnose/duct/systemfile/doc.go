// Package systemfile reads and writes the system file, the YAML in which an owner
// describes a shop. Load gives a duct.System that has met all its checks, or everything
// wrong with line and column; Marshal writes a System so that Load gives it again.
//
// yaml.go bounds what the parser of others is given, reader.go turns its tree into values
// by the tables of package keys, and decode*.go make the System of them; resolve.go puts
// indices in place of names. spelled.go has the words of the trade: those that can mean
// one thing only are understood, and of others the error says what to write. What is
// possible of a system is checked in package duct; Tree and Scalar serve package edit,
// which changes a file as text.
package systemfile
