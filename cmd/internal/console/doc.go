// Package console is what the program has of the world apart from files: its streams,
// the terminal's width and colour, a line of progress, the signals that stop it, and
// the exit status that it ends with.
package console
