// Package layout sets text for a terminal: wrapped paragraphs and tables with
// aligned columns, measured in the cells that characters take up. It knows
// nothing of what the words mean.
package layout

import (
	"strings"
	"unicode"

	"github.com/mattn/go-runewidth"
)

// cells measures the same everywhere, whatever the locale of the user says.
var cells = &runewidth.Condition{}

// Width returns how many cells of a terminal s takes up.
func Width(s string) int { return cells.StringWidth(s) }

// Wrap breaks text between words into lines of at most width cells. A word
// that is longer is broken within. A no-break space (U+00A0) holds two words
// together and comes out as a space. Empty text gives no lines.
func Wrap(text string, width int) []string {
	width = max(width, 1)
	var lines []string
	line := ""
	for _, word := range words(text) {
		for _, piece := range split(word, width) {
			switch {
			case line == "":
				line = piece
			case Width(line)+1+Width(piece) <= width:
				line += " " + piece
			default:
				lines = append(lines, line)
				line = piece
			}
		}
	}
	if line != "" {
		lines = append(lines, line)
	}
	for i := range lines {
		lines[i] = strings.ReplaceAll(lines[i], NoBreak, " ")
	}
	return lines
}

// NoBreak is a space at which no line ends.
const NoBreak = "\u00a0"

// words are parted by any space but NoBreak.
func words(text string) []string {
	return strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) && string(r) != NoBreak })
}

// split cuts a word into pieces of at most width cells.
func split(word string, width int) []string {
	if Width(word) <= width {
		return []string{word}
	}
	var out []string
	piece, used := "", 0
	for _, r := range word {
		w := cells.RuneWidth(r)
		if used+w > width && piece != "" {
			out = append(out, piece)
			piece, used = "", 0
		}
		piece += string(r)
		used += w
	}
	return append(out, piece)
}

// Hang wraps text behind a lead such as "1. ": the first line starts with the
// lead, the others are indented as far. Width includes the lead.
func Hang(lead, text string, width int) []string {
	pad := strings.Repeat(" ", Width(lead))
	lines := Wrap(text, width-Width(lead))
	for i := range lines {
		if i == 0 {
			lines[i] = lead + lines[i]
		} else {
			lines[i] = pad + lines[i]
		}
	}
	return lines
}
