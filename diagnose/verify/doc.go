// Package verify holds an install against its design: each demand on it (the air
// a port needs, the velocity that carries dust, the fan, the filter's room) passes,
// fails or is not shown by the readings.
//
// Verify examines all surveys as one by the means of package diagnose, then asks
// each demand of the leading explanations. A demand passes or fails if that is
// DecidedAt probable. Values are SI.
package verify
