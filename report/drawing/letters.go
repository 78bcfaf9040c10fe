package drawing

import (
	"strings"
	"unicode"

	"github.com/mattn/go-runewidth"
)

// cells measures the same everywhere, whatever the locale of the user says.
var cells = &runewidth.Condition{}

// letter is the width of a letter as a share of the size of type, on the safe
// side: measured on wide sans-serif faces, since the reader's is not known.
func letter(r rune) float64 {
	switch {
	case strings.ContainsRune("iljtfI.,:;!|'()[]/ ", r):
		return 0.45
	case strings.ContainsRune("mwMW@%—…▲▼≈✕◆◇", r):
		return 1.0
	case unicode.Is(unicode.Mn, r):
		return 0
	case r < 0x250 && unicode.IsUpper(r):
		return 0.8
	case r < 0x250:
		return 0.66
	case cells.RuneWidth(r) > 1:
		return 1.4
	}
	return 0.95
}

// textWidth is how wide a text can come out at a size of type.
func textWidth(s string, size float64) float64 {
	var w float64
	for _, r := range s {
		w += letter(r)
	}
	return w * size
}

// cutTo shortens a text to a width, an ellipsis in place of its end. A text for
// which there is no room at all becomes empty.
func cutTo(s string, size, width float64) string {
	if textWidth(s, size) <= width {
		return s
	}
	var b strings.Builder
	room := width - letter('…')*size
	for _, r := range s {
		if room -= letter(r) * size; room < 0 {
			break
		}
		b.WriteRune(r)
	}
	if b.Len() == 0 {
		return ""
	}
	return strings.TrimRight(b.String(), " ,") + "…"
}

// boldness is how much wider bold letters are.
const boldness = 1.12

// strong says which classes the style sheet shows in bold.
func strong(class string) bool { return class == "trunk" || class == "port" || class == "suspect" }
