// Package observe finds a survey's ids in the model: each reading becomes an
// Observation with its probe, its setting of the gates and its instrument's error.
// Values are SI.
package observe
