// Package asbuilt holds the parameters in which the built system differs from its
// page (losses, friction, leakage, fan, filter, the place of bends about a tap),
// each standard normal before anything is read, and what each spread is.
package asbuilt
