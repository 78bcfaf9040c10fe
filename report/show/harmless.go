package show

import (
	"bytes"
	"html/template"
	"io"
	"unicode"
	"unicode/utf8"
)

// Execute writes a page. The template makes names harmless as markup; here
// what they hold of characters that control a terminal or turn the direction
// of writing, so that a name reads as another, becomes the replacement
// character.
func Execute(w io.Writer, t *template.Template, data any) error {
	var b bytes.Buffer
	if err := t.Execute(&b, data); err != nil {
		return err
	}
	_, err := w.Write(bytes.Map(visible, b.Bytes()))
	return err
}

func visible(r rune) rune {
	switch {
	case r == '\n' || r == '\t':
		return r
	case unicode.IsControl(r), unicode.Is(unicode.Bidi_Control, r):
		return utf8.RuneError
	}
	return r
}
