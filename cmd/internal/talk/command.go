package talk

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report"
	"lostair/report/guided"
	"lostair/report/show"
)

// commands are what can be said in place of a value, beside the ways to read otherwise.
var commands = [][2]string{
	{"skip", "leave this reading out"},
	{"reach", "you can't reach this point: it is not asked again"},
	{"no tap", "there is no such tap"},
	{"drilled", "the hole that is asked for is there: its tap is written into the system file; if it sits elsewhere, with its distance from the far end"},
	{"tap new", "with a duct and the distance from its far end: there is a hole that the system file lacks: it is written in"},
	{"back", "take the last answer back"},
	{"why", "why this is asked"},
	{"how", "how to hold the instrument, and what to mind"},
	{"where", "the way to the point"},
	{"list", "what was written down, and what it points to"},
	{"note TEXT", "a note that goes with the next answer"},
	{"quit", "go on another day: everything is kept"},
}

// command does what was said in place of a value; done: the question is settled.
func (t *Talk) command(ctx context.Context, r *round.Round, q *round.Question, into *File, line string) (done, known bool, err error) {
	if way, ok := guided.WayNamed(strings.ToLower(line)); ok {
		return false, true, t.otherwise(ctx, r, q, way)
	}
	word, rest, _ := strings.Cut(strings.ToLower(line), " ")
	switch {
	case word == "skip":
		return true, true, t.leave(into, q.Skip())
	case word == "reach" || strings.HasPrefix(word, "can't") || word == "cant":
		return true, true, t.leave(into, round.Left{Point: q.Row.Point, Why: round.OutReach})
	case word == "no" && strings.Contains(rest, "tap"):
		return true, true, t.leave(into, round.Left{Point: q.Row.Point, Why: round.NoSuchTap})
	case word == "drilled":
		done, err = t.drilled(line[len(word):], q)
		return done, true, err
	case word == "tap" && strings.HasPrefix(rest+" ", "new "):
		done, err = t.drilled(strings.TrimSpace(line[len(word):])[len("new"):], q)
		return done, true, err
	case word == "back" || word == "undo":
		return true, true, t.back(into)
	case word == "why":
		return false, true, t.say(t.why(q))
	case word == "how":
		return false, true, t.how(q)
	case word == "where":
		return false, true, t.lines(guided.Path(t.System, q.Row.Point))
	case word == "list":
		return false, true, t.list(r)
	case word == "note":
		t.note = strings.TrimSpace(line[len(word):])
		return false, true, t.say("The note goes with the next answer.")
	case word == "quit" || word == "exit" || word == "done":
		return true, true, errQuit
	case word == "?" || word == "help":
		return false, true, t.help()
	}
	return false, false, nil
}

// otherwise asks for the same place read in another way.
func (t *Talk) otherwise(ctx context.Context, r *round.Round, q *round.Question, w round.Way) error {
	other, err := within(t, ctx, func(ctx context.Context) (*round.Question, error) {
		x, ok, err := r.Otherwise(ctx, q, w)
		if !ok {
			return nil, err
		}
		return &x, err
	})
	if err != nil {
		return err
	}
	if other == nil {
		return t.say(guided.NoWay(w))
	}
	*q = *other
	return t.question(q)
}

func (t *Talk) why(q *round.Question) string {
	s := show.Title(guided.Why(t.System, q))
	return fmt.Sprintf("%s. About %s min.", strings.TrimSuffix(s, "."), show.Shown(q.Minutes))
}

func (t *Talk) how(q *round.Question) error {
	how, mind := guided.HowTo(t.System, q)
	p := t.page()
	for _, h := range how {
		p.Para("* ", h, show.PlainText)
	}
	if mind != "" {
		p.Para("! ", mind, show.Doubtful)
	}
	return t.put(p)
}

func (t *Talk) help() error {
	p := t.page()
	like := "-1200, 1200 Pa or 1,2 kPa"
	if t.Units == units.US {
		like = "-4.9, 4.9 in or 4000 fpm"
	}
	p.Para("", "Type a value, like "+like+"; or one of these:", show.PlainText)
	for _, c := range commands {
		p.Para(fmt.Sprintf("  %-10s ", c[0]), c[1], show.PlainText)
	}
	for _, w := range round.Ways() {
		name, what := guided.Way(w)
		p.Para(fmt.Sprintf("  %-10s ", name), what, show.PlainText)
	}
	return t.put(p)
}

func (t *Talk) list(r *round.Round) error {
	p := t.page()
	for _, rows := range [][]readings.Row{r.Survey.Rows, r.Survey.Looks} {
		for i := range rows {
			x := &rows[i]
			p.Para("  ", strings.TrimSpace(fmt.Sprintf("%s, %s, %s: %s %s", guided.Open(x.Open.String()), x.Point, strings.ReplaceAll(x.What(), "_", " "), x.Typed, x.Unit)), show.PlainText)
		}
	}
	if r.Standing != nil {
		for _, x := range guided.Suspects(report.From(r.Standing.Result, t.Units)) {
			p.Para("> ", x.Name, show.PlainText)
		}
	}
	return t.put(p)
}

// leave remembers in the file that something is not to be asked.
func (t *Talk) leave(into *File, l round.Left) error {
	return t.keep(into, func(was []byte) ([]byte, error) {
		if was == nil {
			return nil, errors.New("the file is gone")
		}
		return readings.AppendComment(was, l.String()), nil
	})
}

// back takes the last answer out again.
func (t *Talk) back(into *File) error {
	s, _, err := into.survey(t.System.Units)
	if err != nil {
		return err
	}
	last, what := 0, ""
	for _, rows := range [][]readings.Row{s.Rows, s.Looks} {
		for i := range rows {
			if rows[i].Line > last {
				last, what = rows[i].Line, fmt.Sprintf("%s at %s, %s", strings.ReplaceAll(rows[i].What(), "_", " "), rows[i].Point, rows[i].Typed)
			}
		}
	}
	if last == 0 {
		return t.say("There is nothing to take back.")
	}
	if err := t.keep(into, func(was []byte) ([]byte, error) { return readings.RemoveLast(was, last) }); err != nil {
		return err
	}
	return t.say("Taken back: " + what + ".")
}
