package layout

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestWrap(t *testing.T) {
	for _, c := range []struct {
		text  string
		width int
		want  []string
	}{
		{"", 10, nil},
		{"  ", 10, nil},
		{"aa bb", 5, []string{"aa bb"}},
		{"aa bb", 4, []string{"aa", "bb"}},
		{"aaaaaa b", 4, []string{"aaaa", "aa b"}},
		{"日本語", 4, []string{"日本", "語"}}, // two cells each
		{"a", 0, []string{"a"}},
		{"aa 5\u00a0%", 4, []string{"aa", "5 %"}},
	} {
		assert.Equal(t, c.want, Wrap(c.text, c.width), "%q in %d", c.text, c.width)
	}
}

func TestHang(t *testing.T) {
	assert.Equal(t, []string{"1. aa", "   bb"}, Hang("1. ", "aa bb", 5))
}

func TestTable(t *testing.T) {
	table := Table{
		Columns: []Column{{Head: "a"}, {Head: "long head", Right: true}, {Head: "c", Least: 3}},
		Rows:    [][]string{{"xx", "1", "pp qq"}, {"y", "22", "r"}},
	}
	assert.Equal(t, strings.Split(strings.Trim(`
    long
a   head  c
xx     1  pp qq
y     22  r`, "\n"), "\n"), table.Lines(40))
	assert.Equal(t, strings.Split(strings.Trim(`
    long
a   head  c
xx     1  pp
          qq
y     22  r`, "\n"), "\n"), table.Lines(13))
}

func TestTableWithoutHeads(t *testing.T) {
	assert.Equal(t, []string{"x  1"}, Table{Columns: make([]Column, 2), Rows: [][]string{{"x", "1"}}}.Lines(20))
}

func TestHeadsTakeTwoLines(t *testing.T) {
	for head, want := range map[string]int{"": 1, "a": 1, "if sound": 5, "with the fault": 8, "9 in 10 sure": 7} {
		assert.Equal(t, want, headWidth(head), head)
	}
}

func TestPaintKeepsTheColumns(t *testing.T) {
	table := Table{Columns: []Column{{Head: "a"}, {Head: "b"}}, Rows: [][]string{{"x", "1"}, {"yyy", "2"}},
		Paint: func(row, col int, cell string) string {
			if row == 0 && col == 0 {
				return "<" + cell + ">"
			}
			return cell
		}}
	assert.Equal(t, []string{"a    b", "<x>    1", "yyy  2"}, table.Lines(20))
}

func TestClean(t *testing.T) {
	for in, want := range map[string]string{
		"\x1b[31mred":       "\uFFFD[31mred",
		"a\x07b\u009bc\x7f": "a\uFFFDb\uFFFDc\uFFFD",
		"a\tb\nc\rd":        "a b c\uFFFDd",
		"abc\u202Edef":      "abc\uFFFDdef", // reverses what follows
		"a\u200bb\u2028c":   "a\uFFFDb\uFFFDc",
		"a\xffb":            "a\uFFFDb",
		"Säge 日本":           "Säge 日本",
	} {
		assert.Equal(t, want, Clean(in))
	}
}

func TestASCII(t *testing.T) {
	for in, want := range map[string]string{
		"Säge":      "Sage",
		"Maßstab":   "Massstab",
		"5 ± 1 cm²": "5 +/- 1 cm2",
		"a – b…":    "a - b...",
		"日本":        "??",
	} {
		assert.Equal(t, want, ASCII(in))
	}
}

// Whatever comes in: no line is too wide, no character is lost, nothing
// controls the terminal.
func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.String().Draw(t, "text")
		width := rapid.IntRange(2, 30).Draw(t, "width")
		clean := Clean(text)
		lines := Wrap(clean, width)
		for _, l := range lines {
			assert.LessOrEqual(t, Width(l), width)
		}
		glue := func(s string) string { return strings.Join(strings.Fields(s), "") }
		assert.Equal(t, glue(clean), glue(strings.Join(lines, "")))
		for _, r := range ASCII(clean) {
			assert.True(t, r >= ' ' && r < utf8.RuneSelf && r != 0x7f)
		}
	})
}
