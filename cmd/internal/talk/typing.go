package talk

import (
	"bufio"
	"context"
	"errors"
	"io"
	"strings"
)

// errQuit ends a conversation.
var errQuit = errors.New("quit")

// typing is what somebody types, line by line. A line is waited for apart, since a
// read from a terminal or a pipe can't be broken off: whoever stops the program would
// wait for it, and it would leave its lock behind. Nothing is read before it is
// asked for: who answers may look at the files first.
type typing struct {
	ctx   context.Context
	ask   chan struct{}
	lines chan string
	end   error // why there are no more; to be read once lines is closed
}

func listen(ctx context.Context, from io.Reader) *typing {
	t := &typing{ctx: ctx, ask: make(chan struct{}), lines: make(chan string)}
	go func() {
		defer close(t.lines)
		in := bufio.NewScanner(from)
		for {
			select {
			case <-t.ask:
			case <-ctx.Done():
				return
			}
			if !in.Scan() {
				t.end = in.Err()
				return
			}
			select {
			case t.lines <- strings.TrimSpace(in.Text()):
			case <-ctx.Done():
				return
			}
		}
	}()
	return t
}

// line is the next line, or errQuit at the end of the input, or why the context ended.
func (t *typing) line() (string, error) {
	select {
	case <-t.ctx.Done():
		return "", t.ctx.Err()
	case t.ask <- struct{}{}:
	case <-t.lines: // nothing was asked for, so it is closed
		return t.over()
	}
	select {
	case <-t.ctx.Done():
		return "", t.ctx.Err()
	case line, more := <-t.lines:
		if more {
			return line, nil
		}
		return t.over()
	}
}

func (t *typing) over() (string, error) {
	if t.ctx.Err() != nil {
		return "", t.ctx.Err()
	}
	return "", errors.Join(errQuit, t.end)
}
