// Package doubt weighs what may be wrong with the data and not with the system:
// a column in another unit, a setting read with other gates, an instrument far
// off, another system's survey, a diameter that differs from its page.
//
// What was learned. A branch that the page lacks stood open with all gates, halved
// what was read then, and came out as a loaded filter, a half-shut gate and two
// wrong rows. Explanations by the data are rated and fitted from the page: begun
// from the sound system as fitted, which is bent to readings that are not its own,
// the gates that really stood open were given up on the way. Where readings do not
// rule such an explanation out by a factor of ten, it is told beside the fault.
package doubt
