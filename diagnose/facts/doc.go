// Package facts lists every number that an answer rests on, with its unit, its
// source and whether that source was read.
package facts
