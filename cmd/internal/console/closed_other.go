//go:build !unix

package console

import "errors"

// errClosed says that there is nowhere to write to.
var errClosed = errors.New("standard output is closed, so there is nowhere to write the result; name a file with -o")

func outputClosed() bool { return false }
