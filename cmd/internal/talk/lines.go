package talk

import (
	"errors"
	"fmt"
	"strings"

	"lostair/readings/units"
	"lostair/report/show"
)

func (t *Talk) page() *show.Page { return show.NewPage(t.Style) }

func (t *Talk) put(p *show.Page) error { return p.Write(t.Out) }

// say says one thing.
func (t *Talk) say(text string) error {
	if text == "" {
		return nil
	}
	p := t.page()
	p.Para("", text, show.PlainText)
	return t.put(p)
}

func (t *Talk) lines(lines []string) error {
	p := t.page()
	p.Lines(lines, show.PlainText)
	return t.put(p)
}

// line asks for a line. The end of the input is the end of the conversation.
func (t *Talk) line(prompt string) (string, error) {
	if line := t.typed; line != "" {
		t.typed = ""
		return line, nil
	}
	if _, err := fmt.Fprintf(t.Out, "%s> ", prompt); err != nil {
		return "", err
	}
	line, err := t.in.line()
	if err != nil {
		if _, err := fmt.Fprintln(t.Out); err != nil {
			return "", err
		}
		return "", err
	}
	if t.Echo {
		p := t.page()
		p.Para("", line, show.PlainText)
		return line, t.put(p)
	}
	return line, nil
}

// keep changes a file. While that fails, as on a full disk, nothing is lost: it can
// be tried again.
func (t *Talk) keep(f *File, to func(was []byte) ([]byte, error)) error {
	for {
		err := f.Change(to)
		if err == nil {
			return nil
		}
		if errors.Is(err, errMeanwhile) {
			continue
		}
		if say := t.say(fmt.Sprintf("That is not on the disk yet: %v. Put that right and press Enter to try again, or type quit.", err)); say != nil {
			return say
		}
		line, end := t.line("Enter or quit")
		if end != nil || strings.EqualFold(line, "quit") {
			return fmt.Errorf("the last answer is not written down: %w", err)
		}
	}
}

func (t *Talk) bye() error {
	return t.say(fmt.Sprintf("Everything is in %s. To go on: lostair round %s %s", t.Readings.Path, t.System.File, t.Readings.Path))
}

// wrong says an error as a sentence.
func wrong(err error) string {
	var u *units.Error
	if errors.As(err, &u) {
		return show.Title(u.What + "; " + u.Do + ".")
	}
	return show.Title(strings.TrimSuffix(err.Error(), ".") + ".")
}
