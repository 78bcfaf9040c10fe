package talk

import (
	"bufio"
	"context"
	"errors"
	"io"
	"strings"
)

// typing is what somebody types, line by line. A line is waited for apart, since a
// read from a terminal or a pipe can't be broken off: whoever stops the program would
// wait for it, and it would leave its lock behind.
type typing struct {
	ctx   context.Context
	lines chan string
	end   error // why there are no more; to be read once lines is closed
}

func listen(ctx context.Context, from io.Reader) *typing {
	t := &typing{ctx: ctx, lines: make(chan string)}
	go func() {
		defer close(t.lines)
		in := bufio.NewScanner(from)
		for in.Scan() {
			select {
			case t.lines <- strings.TrimSpace(in.Text()):
			case <-ctx.Done():
				return
			}
		}
		t.end = in.Err()
	}()
	return t
}

// line is the next line, or errQuit at the end of the input, or why the context ended.
func (t *typing) line() (string, error) {
	select {
	case <-t.ctx.Done():
		return "", t.ctx.Err()
	case line, more := <-t.lines:
		switch {
		case more:
			return line, nil
		case t.ctx.Err() != nil:
			return "", t.ctx.Err()
		}
		return "", errors.Join(errQuit, t.end)
	}
}
