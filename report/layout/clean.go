package layout

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/norm"
)

// Clean makes text from outside harmless on a terminal: characters that
// control it, that reverse the direction of writing or that can't be seen
// become the replacement character, and so does what is not UTF-8. Tabs and
// line breaks become spaces.
func Clean(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\t' || r == '\n':
			r = ' '
		case r == utf8.RuneError, unicode.Is(unicode.C, r), unicode.Is(unicode.Zl, r), unicode.Is(unicode.Zp, r):
			r = utf8.RuneError
		}
		b.WriteRune(r)
	}
	return b.String()
}

// plain holds what ASCII needs more than one letter for, or has only something
// like.
var plain = strings.NewReplacer(
	"±", "+/-", "×", "x", "·", "*", "÷", "/", "≥", ">=", "≤", "<=", "≈", "~", "√", "sqrt",
	"–", "-", "—", "-", "−", "-", "‑", "-", "→", "->", "…", "...", "°", " deg ",
	"‘", "'", "’", "'", "“", `"`, "”", `"`, "„", `"`, "«", `"`, "»", `"`, "•", "*", "µ", "u", "μ", "u",
	"ß", "ss", "æ", "ae", "Æ", "AE", "ø", "o", "Ø", "O", "œ", "oe", "Œ", "OE", "ł", "l", "Ł", "L", "đ", "d", "Đ", "D", "þ", "th", "ð", "d", "ı", "i",
)

// ASCII writes cleaned text with ASCII characters only: accents go, signs are
// spelt out, and what has no like becomes a question mark. NoBreak becomes a
// space, so where it matters it must be put in afterwards.
func ASCII(s string) string {
	var b strings.Builder
	for _, r := range norm.NFKD.String(plain.Replace(s)) {
		switch {
		case unicode.Is(unicode.Mn, r):
			continue
		case r > unicode.MaxASCII:
			r = '?'
		}
		b.WriteRune(r)
	}
	return b.String()
}
