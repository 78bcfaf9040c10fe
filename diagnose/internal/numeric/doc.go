// Package numeric holds what the inference needs of linear algebra and
// probability beyond gonum, and work shared between two workers.
package numeric
