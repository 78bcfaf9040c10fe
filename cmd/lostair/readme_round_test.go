package main

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/cmd/internal/console"
	"lostair/diagnose/duct"
	"lostair/diagnose/round"
	"lostair/readings"
	"lostair/readings/units"
	"lostair/report/golden"
)

// person answers a round in the demo shop as somebody would who stands in it: what
// is asked is read off the files, as the program itself does, and simulated.
type person struct {
	t         *testing.T
	sys       *duct.System
	file      string
	baseline  *readings.Survey
	shop      simulation // as it is
	mended    bool
	left      string // of a line that was not read yet
	sentences int
}

// Read gives the answer to what is asked next.
func (p *person) Read(b []byte) (int, error) {
	if p.left == "" {
		p.left = p.says()
		if p.left == "" {
			return 0, io.EOF
		}
		p.left += "\n"
	}
	n := copy(b, p.left)
	p.left = p.left[n:]
	return n, nil
}

func (p *person) survey(file string) (*readings.Survey, string) {
	data, err := os.ReadFile(file)
	if errors.Is(err, fs.ErrNotExist) {
		return &readings.Survey{}, ""
	}
	require.NoError(p.t, err)
	s, _ := readings.Read(bytes.NewReader(data), file, p.sys.Units)
	return s, string(data)
}

func (p *person) says() string {
	p.sentences++
	if p.sentences > 40 {
		return "" // it leads nowhere
	}
	s, text := p.survey(p.file)
	if text == "" {
		return ""
	}
	c, err := round.ParseComplaint(p.sys, readings.ComplaintIn(text))
	require.NoError(p.t, err)
	r, err := round.Begin(p.t.Context(), round.Situation{System: p.sys, Survey: s, Baselines: []*readings.Survey{p.baseline}, Complaint: c, Left: round.LeftIn(text)})
	require.NoError(p.t, err)
	if p.mended {
		after, _ := p.survey(strings.TrimSuffix(p.file, ".csv") + "-after.csv")
		proof := r.Proof(after)
		if len(proof) == 0 {
			return ""
		}
		return p.reads(&proof[0])
	}
	if r.Enough().Yes {
		p.mended, p.shop.fault, p.shop.visit = true, nil, p.shop.visit+1
		return "mended"
	}
	list, err := r.Questions(p.t.Context(), 1)
	require.NoError(p.t, err)
	if len(list) == 0 {
		return ""
	}
	return p.reads(&list[0])
}

// reads takes a reading, or a look.
func (p *person) reads(q *round.Question) string {
	row := &q.Row
	switch {
	case q.NewTap != nil, len(row.HoseOff) > 0:
		return "skip"
	case row.Look == readings.Clings:
		return "no"
	case row.Look == readings.Hisses:
		if row.Point == p.shop.fault.duct {
			return "yes"
		}
		return "no"
	case row.Look != "":
		return "yes"
	}
	p.shop.stops = []stop{{row.Open.String(), row.Point}}
	s, list := readings.Load(bytes.NewReader(p.shop.survey(p.t, p.sys)), "", units.Metric)
	require.NoError(p.t, list.Err())
	return s.Rows[0].Typed
}

const roundStart = "<!-- what a round prints; kept fresh by a test -->\n```text\n"

// partsOf is a round's first question, what is said of the answer, and how it ends. The
// cautions before it are in the README's section about safety.
func partsOf(t *testing.T, round string) string {
	first, _, ok := strings.Cut(round, "\n\n2. ")
	require.True(t, ok, "it asks a second time:\n%s", round)
	_, first, ok = strings.Cut(first, "\n\n1. ")
	require.True(t, ok, "it asks a first time:\n%s", round)
	_, rest, ok := strings.Cut(round, "That is enough")
	require.True(t, ok, "it comes to an end:\n%s", round)
	_, proof, ok := strings.Cut(rest, "Better than before")
	require.True(t, ok, "the repair is proved:\n%s", round)
	proof, _, _ = strings.Cut(proof, "\nWritten into")
	return "1. " + first + "\n...\nBetter than before" + proof + "\n"
}

// The README shows parts of a round as it really goes, from the complaint to the proof.
func TestReadmeShowsARound(t *testing.T) {
	if testing.Short() {
		t.Skip("leading the README's round takes a few seconds; go test without -short does it")
	}
	text, err := os.ReadFile(readme)
	require.NoError(t, err)
	before, rest, ok := strings.Cut(string(text), roundStart)
	require.True(t, ok)
	old, after, ok := strings.Cut(rest, demoEnd)
	require.True(t, ok)
	t.Chdir(t.TempDir())
	require.Equal(t, console.Done, runHere(t.Context(), console.Streams{}, "demo").status)
	sys := loadEmbedded(t, "lostair-demo/system.yaml")
	sound, list := readings.LoadFile("lostair-demo/when-sound.csv", sys.Units)
	require.NoError(t, list.Err())
	shop := demoSurvey
	shop.typed = nil
	p := &person{t: t, sys: sys, file: "round.csv", baseline: sound, shop: shop}
	got := runHere(t.Context(), console.Streams{In: p}, "round", "lostair-demo/system.yaml", "round.csv", "--weak", "spindle",
		"--baseline", "lostair-demo/when-sound.csv", "--date", "2026-04-11")
	require.Equal(t, console.Done, got.status, got.err)
	log, err := os.ReadFile("repairs.csv")
	require.NoError(t, err, "the repair was not proved:\n%s", got.out)
	assert.Contains(t, string(log), "2026-04-11,leak,")
	if golden.Update() {
		t.Chdir(moduleRoot(t))
		require.NoError(t, os.WriteFile("README.md", []byte(before+roundStart+partsOf(t, got.out)+demoEnd+after), 0o644))
		return
	}
	assert.Equal(t, old, partsOf(t, got.out), "UPDATE_GOLDEN=1 go test ./cmd/lostair -run Readme writes it anew")
}
