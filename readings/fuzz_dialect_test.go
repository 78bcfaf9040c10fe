package readings

import (
	"bytes"
	"encoding/binary"
	"regexp"
	"strings"
	"testing"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/readings/units"
)

// FuzzDialects: a survey reads the same however a spreadsheet saved it: with
// another separator, decimal comma, line end or encoding.
func FuzzDialects(f *testing.F) {
	f.Add("S1", "mill", "-1180", "hose on")
	f.Add("M 2", "mill+lathe", "21.4", "")
	f.Add("ä", "all", "0.5", "=1+2")
	f.Add("\"x\"", "none", "1e3", "a; b, c\td")
	f.Add("#7", "#7", "+3", "'quoted'")
	f.Fuzz(func(t *testing.T, point, open, value, note string) {
		if noDecimals.MatchString(value) {
			return // a comma with no digit behind it is taken for a slip
		}
		for _, s := range []string{point, open, value, note} {
			if !utf8.ValidString(s) || strings.ContainsAny(s, "\r\n") || len(s) > 1000 {
				return
			}
		}
		want, list := Load(strings.NewReader(inDialect(point, open, value, note, ",")), "f.csv", units.Metric)
		if list.Err() != nil {
			return
		}
		for name, file := range map[string]string{
			"semicolons":    inDialect(point, open, value, note, ";"),
			"decimal comma": inDialect(point, open, strings.Replace(value, ".", ",", 1), note, ";"),
			"tabs":          inDialect(point, open, value, note, "\t"),
			"CRLF":          strings.ReplaceAll(inDialect(point, open, value, note, ","), "\n", "\r\n"),
			"CR":            strings.ReplaceAll(inDialect(point, open, value, note, ","), "\n", "\r"),
			"sep line":      "sep=;\n" + inDialect(point, open, value, note, ";"),
			"UTF-16LE":      inUTF16(inDialect(point, open, value, note, ","), binary.LittleEndian),
			"UTF-16BE":      inUTF16(inDialect(point, open, value, note, "\t"), binary.BigEndian),
		} {
			got, list := Load(strings.NewReader(file), "f.csv", units.Metric)
			if name == "decimal comma" && list.Err() != nil && strings.Contains(list.Err().Error(), "two ways") {
				continue // 1.000 with a comma may be a thousand: refused, not guessed
			}
			require.NoError(t, list.Err(), "%s: %q", name, file)
			require.Len(t, got.Rows, len(want.Rows), name)
			for i := range got.Rows {
				a, b := got.Rows[i], want.Rows[i]
				assert.Equal(t, b.Point, a.Point, name)
				assert.Equal(t, b.Open, a.Open, name)
				assert.Equal(t, b.Value, a.Value, name)
				assert.Equal(t, b.Note, a.Note, name)
			}
		}
	})
}

// noDecimals is a decimal point with no digit behind it.
var noDecimals = regexp.MustCompile(`\.(\D|$)`)

// inDialect is a file of one row, every field in quotation marks.
func inDialect(point, open, value, note, sep string) string {
	q := func(s string) string { return `"` + strings.ReplaceAll(s, `"`, `""`) + `"` }
	return strings.Join([]string{"date", "open", "point", "quantity", "value", "note"}, sep) + "\n" +
		strings.Join([]string{q("2026-03-02"), q(open), q(point), q("static_pressure"), q(value), q(note)}, sep) + "\n"
}

func inUTF16(s string, order binary.ByteOrder) string {
	var b bytes.Buffer
	for _, u := range utf16.Encode([]rune("\uFEFF" + s)) {
		_ = binary.Write(&b, order, u)
	}
	return b.String()
}
