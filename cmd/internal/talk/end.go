package talk

import (
	"context"
	"fmt"
	"path/filepath"
	"strings"

	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/repairs"
	"lostair/report"
	"lostair/report/guided"
	"lostair/report/show"
)

// enough says that it is enough and what to do then, and asks how to go on.
func (t *Talk) enough(ctx context.Context, r *round.Round) error {
	p := t.page()
	p.Blank()
	p.Para("", guided.Enough(r.Enough(), report.From(r.Standing.Result, t.Units), r.Missed()), show.Bold)
	if err := t.put(p); err != nil {
		return err
	}
	return t.then(ctx, r)
}

// nothingLeft says that nothing more can be read.
func (t *Talk) nothingLeft(ctx context.Context, r *round.Round) error {
	if err := t.say("There is nothing more to read here that would tell much. Diagnose says what the readings point to: lostair diagnose " + t.System.File + " " + t.Readings.Path); err != nil {
		return err
	}
	return t.then(ctx, r)
}

// then asks how to go on after the last question.
func (t *Talk) then(ctx context.Context, r *round.Round) error {
	mends := r.Provable()
	ways, prompt := "more to go on reading, back to take the last answer back, or quit", "more, back or quit"
	if mends {
		ways, prompt = "mended when that is done, "+ways, "mended, "+prompt
	}
	if err := t.say("Type " + ways + "."); err != nil {
		return err
	}
	for {
		line, err := t.line(prompt)
		if err != nil {
			return err
		}
		word, _, _ := strings.Cut(strings.ToLower(line), " ")
		switch {
		case word == "more":
			t.more = true
			return nil
		case word == "back" || word == "undo":
			return t.back(&t.Readings)
		case word == "list":
			err = t.list(r)
		case word == "quit" || word == "exit" || word == "done":
			return errQuit
		case word == "mended" && mends:
			return t.prove(ctx, r)
		default:
			err = t.say("Type " + ways + ".")
		}
		if err != nil {
			return err
		}
	}
}

// prove asks for the readings that prove a repair, says what it has brought, and
// writes it into the log of repairs.
func (t *Talk) prove(ctx context.Context, r *round.Round) error {
	into := t.after()
	fresh, err := within(t, ctx, func(ctx context.Context) (*round.Round, error) {
		return round.Begin(ctx, round.Situation{System: t.System})
	})
	if err != nil {
		return err
	}
	start := func(was []byte) ([]byte, error) {
		if was != nil {
			return was, nil
		}
		return readings.Start(round.Complaint{Kind: round.AfterRepair}.Comment()), nil
	}
	if err := t.keep(into, start); err != nil {
		return err
	}
	for {
		s, text, err := into.survey(t.System.Units)
		if err != nil {
			return err
		}
		left := r.Proof(s, round.LeftIn(text)...)
		if len(left) == 0 {
			return t.proved(ctx, r, s)
		}
		if err := t.ask(ctx, fresh, &left[0], into); err != nil {
			return err
		}
	}
}

func (t *Talk) proved(ctx context.Context, r *round.Round, after *readings.Survey) error {
	if len(after.Readings) == 0 {
		if err := t.say("Nothing was read after the repair, so nothing is shown."); err != nil {
			return err
		}
		return errQuit
	}
	p, err := within(t, ctx, func(ctx context.Context) (*round.Proved, error) { return r.Prove(ctx, after) })
	if err != nil {
		return err
	}
	if err := t.say(guided.Proved(p, t.complaint, t.Units)); err != nil {
		return err
	}
	entry := guided.Entry(r, p, t.Date, t.Units)
	log := t.repairs()
	err = t.keep(log, func(was []byte) ([]byte, error) {
		return repairs.Append(was, entry)
	})
	if err != nil {
		return err
	}
	if err := t.say(fmt.Sprintf("Written into %s. If something is still weak, begin a new round: what was read now is in %s.", log.Path, t.after().Path)); err != nil {
		return err
	}
	return errQuit
}

// after is the file of the readings that prove a repair.
func (t *Talk) after() *File {
	ext := filepath.Ext(t.Readings.Path)
	return &File{strings.TrimSuffix(t.Readings.Path, ext) + "-after" + ext, t.Readings.Write}
}

func (t *Talk) repairs() *File {
	return &File{filepath.Join(filepath.Dir(t.Readings.Path), repairs.File), t.Readings.Write}
}
