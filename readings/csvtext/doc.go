// Package csvtext holds what the CSV files of a shop have in common as texts, whatever
// stands in them: how people write the names of columns, what a spreadsheet would run as
// a formula, and how a row is added while all that is there stays to the byte.
package csvtext
