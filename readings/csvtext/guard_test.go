package csvtext

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// A spreadsheet runs a field that begins with one of = + - @ (OWASP, "CSV
// Injection"); the note is made text and comes back as it was.
func TestGuard(t *testing.T) {
	for note, want := range map[string]string{
		"": "", "hose on": "hose on", "=1+1": "'=1+1", "+1": "'+1", "-1": "'-1", "@x": "'@x", "'=x": "''=x", "''@": "'''@",
		"'tis": "'tis", "'": "'", "a=b": "a=b",
	} {
		assert.Equal(t, want, Guard(note))
		assert.Equal(t, note, Unguard(Guard(note)))
	}
	assert.Equal(t, "'tis", Unguard("'tis"))
}
