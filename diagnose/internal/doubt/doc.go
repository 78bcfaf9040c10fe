// Package doubt weighs what may be wrong with the data and not with the system:
// a column in another unit, a setting read with other gates, an instrument far
// off, another system's survey, a diameter that differs from its page.
package doubt
