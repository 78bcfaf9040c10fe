package systemfile

import (
	"fmt"
	"strings"
	"testing"

	"github.com/goccy/go-yaml/lexer"
	"github.com/stretchr/testify/assert"
)

type exhausting struct{ data, want string }

// exhausting inputs take the parser alone minutes, or all memory.
func exhaust() []exhausting {
	many := func(s string) string { return strings.Repeat(s, 100_000) }
	return []exhausting{
		{many("["), "nested more than"},
		{many("{a: "), "nested more than"},
		{many("- "), "nested more than"},
		{many("a: [\n"), "nested more than"},
		{many("? "), "written with ?"},
		{many("a: "), "second colon"},
		{many("&a "), "anchors"},
		{"a: &a [x]\n" + strings.Repeat("b: &b [*a, *a, *a]\n", 3), "anchors"},
		{many("!a "), "type tags"},
		{many("a:\n"), "more than 1000 keys"},
		{many("a: 1\n"), "more than 1000 keys"},
		{many("-\n"), "no value"},
		{"{" + many("a,") + "}", "no value"},
		{"ducts:\n" + many("  - {id: }\n"), "no value"},
		{"%YAML 1.2\n---\na: 1\n", "directives"},
		{many("\""), "not readable as YAML"},
		{many("x\n"), "not a set of keys"},
	}
}

// Input made to exhaust a parser is refused before the parser sees it. Quotes and
// plain text it may have: of them it makes one scalar after the other.
func TestGuard(t *testing.T) {
	for _, row := range exhaust() {
		s, problems := Load([]byte(row.data), "f")
		assert.Nil(t, s)
		assert.Contains(t, problems.Error(), row.want, "%.20q", row.data)
		if tokens := lexer.Tokenize(text([]byte(row.data))); len(guard(tokens, "f")) == 0 {
			assert.Contains(t, "\"x", row.data[:1], "%.20q reaches the parser", row.data)
			assert.LessOrEqual(t, len(tokens), len(row.data)/2)
		}
	}
}

func BenchmarkGuard(b *testing.B) {
	for _, row := range exhaust() {
		b.Run(fmt.Sprintf("%.6q", row.data), func(b *testing.B) {
			for b.Loop() {
				Load([]byte(row.data), "f")
			}
		})
	}
}
