package console

import (
	"io"
	"os"

	"golang.org/x/term"
)

// Own are the streams of the process itself.
func Own() Streams {
	out := io.Writer(os.Stdout)
	if outputClosed() {
		out = nowhere{}
	}
	return Streams{
		In: os.Stdin, Out: out, Err: os.Stderr, Env: os.Getenv,
		OutWidth: widthOf(os.Stdout), ErrWidth: widthOf(os.Stderr), Hurry: hurry,
	}
}

// nowhere takes nothing.
type nowhere struct{}

func (nowhere) Write([]byte) (int, error) { return 0, errClosed }

// widthOf is the width of the terminal that f is; 0 if it is none.
func widthOf(f *os.File) int {
	if !term.IsTerminal(int(f.Fd())) {
		return 0
	}
	if w, _, err := term.GetSize(int(f.Fd())); err == nil && w > 0 {
		return w
	}
	return 80
}
