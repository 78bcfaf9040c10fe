package talk

import (
	"context"
	"strings"

	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/report/guided"
)

// ask asks one question until it is answered or put aside.
func (t *Talk) ask(ctx context.Context, r *round.Round, q *round.Question, into *File) error {
	t.asked++
	if err := t.question(q); err != nil {
		return err
	}
	for {
		line, err := t.line(t.prompt(q))
		if err != nil {
			return err
		}
		done, known, err := t.command(ctx, r, q, into, line)
		if err != nil || done {
			return err
		}
		if known {
			continue
		}
		if done, err = t.answer(r, q, into, line); err != nil || done {
			return err
		}
	}
}

// answer takes what was typed; done: it is written down.
func (t *Talk) answer(r *round.Round, q *round.Question, into *File, line string) (done bool, err error) {
	if q.NewTap != nil {
		return false, t.say("The tap is not in the system file yet: type drilled once the hole is there, or skip this.")
	}
	row, explicit, err := r.Typed(q, line, q.Row.Dimension().Symbol(t.Units))
	if err != nil {
		return false, t.say(wrong(err))
	}
	doubt, odd, err := r.Judge(q, &row, explicit)
	if err != nil {
		return false, t.say(wrong(err))
	}
	if odd {
		if row, done, err = t.sure(q, row, line, doubt); err != nil || !done {
			return false, err
		}
	}
	row.Date, row.Note = t.Date, t.note
	if err := t.keep(into, func(was []byte) ([]byte, error) { return q.Written(was, row, t.System.Units) }); err != nil {
		return false, err
	}
	t.note = ""
	return true, t.say(guided.Means(q.Means(row), t.Units))
}

// sure asks about a value that may have slipped; keep: it is to be written as it
// comes back. What else is typed then is taken as if it were typed to the question.
func (t *Talk) sure(q *round.Question, row readings.Row, line string, d round.Doubt) (out readings.Row, keep bool, err error) {
	text, prompt := guided.Doubts(d, q, t.Units), "right, or the value again"
	if d.Row != nil {
		prompt = "y, right or again"
		text += " Type y to take that, right if it is right as typed, or the value again."
	} else {
		text += " Look, and type the value again, or right if it is right."
	}
	if err := t.say(text); err != nil {
		return row, false, err
	}
	again, err := t.line(prompt)
	if err != nil {
		return row, false, err
	}
	switch word := strings.ToLower(again); {
	case word == "right" || word == "r" || again == line: // typed twice: believed
		return row, true, nil
	case word == "y" || word == "yes":
		if d.Row != nil {
			return *d.Row, true, nil
		}
		return row, true, nil
	case again != "":
		t.typed = again
	}
	return row, false, nil
}
