// Package settings knows the settings of the gates by which a system is judged:
// those that its file says are in use, else each port's own gates alone.
package settings
