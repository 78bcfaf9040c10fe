// Package legend says what may stand in the files that people write, as text for help.
// It is made from the tables that the readers use, so that it can't go stale. What
// machines usually need is a table of help, and is offered where a file leaves a need out
// or has one far from it.
package legend
