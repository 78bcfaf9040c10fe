// Package expect computes what each port, tap and reserved point of a sound
// system shows in one setting of the gates. Values are SI.
package expect
