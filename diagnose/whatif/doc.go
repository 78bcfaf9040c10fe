// Package whatif compares a system before and after changes that a person names
// (a diameter, a gate half shut, a leak): flows and velocities side by side, SI.
package whatif
