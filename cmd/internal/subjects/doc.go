// Package subjects lists the kinds of result that commands give: how each is made from
// what was computed, said, drawn, saved as JSON, and shown again.
package subjects
