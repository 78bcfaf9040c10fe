// Package repairs holds the log of repairs, a CSV file that stands beside the surveys of a
// shop: what was done on which day, and to which fault. It reads the log and adds rows to
// it; what a repair means for a history is for package track to say.
package repairs
