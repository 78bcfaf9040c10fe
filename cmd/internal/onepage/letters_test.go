package onepage

import (
	"bytes"
	"math/rand/v2"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
)

// read is the page's script, in Go.
func read(text string) []byte {
	var out []byte
	held, n := uint(0), 0
	for _, x := range text {
		if x >= 128 {
			x = rune(unfit[x-firstSpare])
		}
		if held, n = held<<7&0x3fff|uint(x), n+7; n >= 8 {
			n -= 8
			out = append(out, byte(held>>n))
		}
	}
	return out
}

// Any engine comes back from its letters, which no page takes for anything else.
func TestLetters(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for n := range 2000 {
		engine := make([]byte, n%300)
		for i := range engine {
			engine[i] = byte(r.Uint32())
		}
		text := letters(engine)
		assert.True(t, utf8.ValidString(text))
		assert.NotContains(t, text, "<")
		assert.False(t, bytes.ContainsAny([]byte(text), "\x00\r\x1a"))
		if !bytes.Equal(engine, read(text)) {
			assert.Fail(t, "an engine is not read back", "%x", engine)
		}
	}
}
