package talk

import (
	"context"
	"errors"
	"fmt"
	"sync"

	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/report"
	"lostair/report/guided"
	"lostair/report/show"
)

// Run leads the conversation until it is ended or the input is. With its context it
// ends at once, even where nobody types.
func (t *Talk) Run(ctx context.Context) error {
	if err := t.Readings.takesAnswers(t.System.Units); err != nil {
		return err
	}
	release, err := lock(t.Readings.Path)
	if err != nil {
		return err
	}
	release = sync.OnceFunc(release)
	defer release()
	if t.Held != nil {
		t.Held(release)
	}
	t.in = listen(ctx, t.In)
	if err = t.begin(); err == nil {
		err = t.read(ctx)
	}
	if errors.Is(err, errQuit) {
		return t.bye()
	}
	return err
}

// begin finds the complaint, and makes the file if it is not there.
func (t *Talk) begin() error {
	data, err := t.Readings.Read()
	if err != nil {
		return err
	}
	said := t.Complaint
	if said == "" {
		said = readings.ComplaintIn(string(data))
	}
	if t.complaint, err = t.complaintOf(said); err != nil {
		return err
	}
	if data == nil {
		start := func([]byte) ([]byte, error) { return readings.Start(t.complaint.Comment()), nil }
		if err := t.keep(&t.Readings, start); err != nil {
			return err
		}
	} else if readings.ComplaintIn(string(data)) == "" {
		err = t.keep(&t.Readings, func(was []byte) ([]byte, error) { return readings.AppendComment(was, t.complaint.Comment()), nil })
		if err != nil {
			return err
		}
	}
	p := t.page()
	p.Para("", fmt.Sprintf("A round because of: %s. Each answer is kept in %s at once.", t.complaint, t.Readings.Path), show.PlainText)
	p.Para("", "Type what the instrument shows, or ? for what else can be said.", show.PlainText)
	p.Para("", "Before you begin: know where the fan's switch is, and that machines are off while you reach near them. Eye protection, a respirator where there is fine dust, a ladder that stands safely. Local codes and licensed trades come first.", show.PlainText)
	return t.put(p)
}

// complaintOf asks for the complaint until it is one.
func (t *Talk) complaintOf(said string) (round.Complaint, error) {
	if said != "" {
		return round.ParseComplaint(t.System, said)
	}
	list := round.Complaints(t.System)
	p := t.page()
	p.Para("", "What brings you here?", show.Bold)
	for i, c := range list {
		p.Para(fmt.Sprintf("%2d  ", i+1), c.String(), show.PlainText)
	}
	if err := t.put(p); err != nil {
		return round.Complaint{}, err
	}
	for {
		line, err := t.line("complaint")
		if err != nil {
			return round.Complaint{}, err
		}
		for i, c := range list {
			if line == fmt.Sprint(i+1) {
				return c, nil
			}
		}
		c, err := round.ParseComplaint(t.System, line)
		if err == nil {
			return c, nil
		}
		if err := t.say(fmt.Sprintf("Type a number from 1 to %d.", len(list))); err != nil {
			return c, err
		}
	}
}

// read asks one question after another.
func (t *Talk) read(ctx context.Context) error {
	for first := true; ; first = false {
		r, err := t.stand(ctx)
		if err != nil {
			return err
		}
		if err := t.stands(ctx, r, first); err != nil {
			return err
		}
		if t.want != nil {
			q, err := within(t, ctx, func(ctx context.Context) (round.Question, error) { return r.Wanted(ctx, *t.want) })
			if err != nil {
				return err
			}
			t.want = nil
			if err := t.ask(ctx, r, &q, &t.Readings); err != nil {
				return err
			}
			continue
		}
		if r.Enough().Yes && !t.more {
			if err := t.enough(ctx, r); err != nil {
				return err
			}
			continue
		}
		list, err := within(t, ctx, func(ctx context.Context) ([]round.Question, error) { return r.Questions(ctx, 1) })
		if err != nil {
			return err
		}
		if len(list) == 0 {
			if err := t.nothingLeft(ctx, r); err != nil {
				return err
			}
			continue
		}
		if err := t.ask(ctx, r, &list[0], &t.Readings); err != nil {
			return err
		}
	}
}

// stand works out where the round stands. Where the file can't be read, since
// somebody is at it with an editor, it says so and waits.
func (t *Talk) stand(ctx context.Context) (*round.Round, error) {
	for {
		s, text, err := t.Readings.survey(t.System.Units)
		if err == nil {
			var r *round.Round
			r, err = within(t, ctx, func(ctx context.Context) (*round.Round, error) {
				return round.Begin(ctx, round.Situation{System: t.System, Survey: s, Baselines: t.Baselines, Complaint: t.complaint, Left: round.LeftIn(text), Planned: t.planned})
			})
			if err == nil {
				t.planned = r.Planned
				return r, nil
			}
		}
		if ctx.Err() != nil {
			return nil, ctx.Err()
		}
		if errors.Is(err, context.DeadlineExceeded) { // of the step
			return nil, err
		}
		if err := t.say(fmt.Sprintf("The readings file is not in order: %v. Correct it and press Enter.", err)); err != nil {
			return nil, err
		}
		if _, more := t.line("Enter"); more != nil {
			return nil, err
		}
	}
}

// stands says what the readings point to so far.
func (t *Talk) stands(ctx context.Context, r *round.Round, first bool) error {
	if r.Standing == nil {
		return nil
	}
	p := t.page()
	if first {
		p.Para("", fmt.Sprintf("%s so far.", show.Plural(len(r.Survey.Rows)+len(r.Survey.Looks), "answer")), show.PlainText)
	}
	shown := report.From(r.Standing.Result, t.Units)
	lead := "So far: "
	for _, x := range guided.Suspects(shown) {
		p.Para(lead, x.Name, show.PlainText)
		lead = "        "
	}
	if lead == "So far: " {
		p.Para(lead, shown.Answer.Broken, show.PlainText)
	}
	if shown.Answer.Rows != "" {
		p.Para("", shown.Answer.Rows, show.Doubtful)
	}
	return t.put(p)
}
