// Package ask is the questions about a shop and what their answers change in its system
// file: one thing at a time, a machine or a run that is added, one that is taken out, or
// all runs from a table. An answer that check calls wrong at its place is not taken. Amounts
// are written as they were typed, with their unit if one was typed.
package ask
