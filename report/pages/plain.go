package pages

import (
	"io"

	"lostair/report/show"
)

// Plain shows text, such as a command gives, as one self-contained page.
func Plain(w io.Writer, title, text string) error {
	t, err := ParsePage("plain.html")
	if err != nil {
		return err
	}
	return show.Execute(w, t, struct{ Title, Text string }{title, text})
}
