package console

import (
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Progress shows on a terminal only, and leaves nothing behind.
func TestProgress(t *testing.T) {
	var b bytes.Buffer
	p := NewProgress(Streams{Err: &b}, "survey.csv")
	p.Step(1, 2)
	p.Clear()
	assert.Empty(t, b.String())

	p = NewProgress(Streams{Err: &b, ErrWidth: 80}, "survey.csv")
	p.Step(1, 2)
	p.Step(1, 2) // the same again is not written again
	assert.Equal(t, "survey.csv: 50 %", b.String())
	p.Clear()
	p.Step(2, 2) // too late: of work that was left behind
	assert.Equal(t, "survey.csv: 50 %\r"+strings.Repeat(" ", 16)+"\r", b.String())

	b.Reset()
	p = NewProgress(Streams{Err: &b, ErrWidth: 10}, "a very long name.csv")
	p.Step(1, 2)
	assert.Equal(t, "50 %", b.String())
}
