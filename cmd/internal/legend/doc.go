// Package legend says what may stand in the files that people write, as text for help.
// It is made from the tables that the readers use, so that it can't go stale.
package legend
