// Package kit holds what tests of several packages share: small shops with known
// truth, and readings made from the model.
package kit
