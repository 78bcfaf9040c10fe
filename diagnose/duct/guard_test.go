package duct

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
)

// Input made to exhaust a parser is refused soon. The time allowed is far
// above what it takes (under 0.3 s), and far below what the parser alone
// would: minutes, or all memory.
func TestGuard(t *testing.T) {
	many := func(s string) string { return strings.Repeat(s, 100_000) }
	for _, row := range []struct{ data, want string }{
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
	} {
		start := time.Now()
		s, problems := Load([]byte(row.data), "f")
		assert.Nil(t, s)
		assert.Contains(t, problems.Error(), row.want, "%.20q", row.data)
		assert.Less(t, time.Since(start), 10*time.Second, "%.20q", row.data)
	}
}
