// Package disk writes files whole or not at all: one, or all of a folder. What is half
// written goes away with the process, and if that was killed, with the next that writes
// into the same folder. It knows nothing of what the files hold.
package disk
