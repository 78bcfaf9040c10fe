// Package rounds is a guided round of readings on the bench page, step by step, and the
// proof of a repair by reading again. What to read next, and what it means, is for package
// diagnose/round to say; here stands how a step is asked, taken and written down. Values
// are in the units that were typed.
package rounds
