// Package sources lists where the figures of the model come from.
package sources

import (
	"fmt"
	"io"
	"strconv"
	"strings"

	"lostair/diagnose/handbook"
	"lostair/report/layout"
	"lostair/report/show"
)

// Source is one number or formula that the program computes with.
type Source struct {
	Group   string   `json:"group"`
	Name    string   `json:"name"`
	Symbol  string   `json:"symbol"`            // declaration in the code
	Value   *float64 `json:"value,omitempty"`   // absent beside a formula
	Unit    string   `json:"unit,omitempty"`    // absent: a pure number
	Formula string   `json:"formula,omitempty"` // absent beside a value
	Source  string   `json:"source"`
	Status  string   `json:"status"`
}

// JSON writes the facts as one list.
func JSON(w io.Writer, facts []handbook.Fact) error {
	out := make([]Source, len(facts))
	for i, f := range facts {
		out[i] = Source{Group: f.Group, Name: f.Name, Symbol: f.Symbol, Unit: f.Unit, Formula: f.Formula, Source: f.Source, Status: f.Status}
		if f.Formula == "" {
			v := f.Value
			out[i].Value = &v
		}
	}
	return show.Encode(w, out)
}

// Text writes the facts in groups, each run of one source under its name.
func Text(w io.Writer, facts []handbook.Fact, st show.Style) error {
	width := st.Width
	if width == 0 {
		width = 80
	}
	var lines []string
	group := ""
	for len(facts) > 0 {
		n := run(facts)
		f := facts[0]
		if f.Group != group {
			group = f.Group
			lines = append(lines, "", strings.ToUpper(group))
		}
		lines = append(lines, "")
		lines = append(lines, layout.Hang("  ", f.Source+" ["+f.Status+"]", width)...)
		for _, l := range factTable(facts[:n]).Lines(width - 4) {
			lines = append(lines, "    "+l)
		}
		facts = facts[n:]
	}
	text := strings.Join(lines[1:], "\n") + "\n"
	if st.Plain {
		text = layout.ASCII(text)
	}
	_, err := io.WriteString(w, text)
	return err
}

// run is how many facts from the first on share its group, source and status.
func run(facts []handbook.Fact) int {
	n := 1
	for n < len(facts) && facts[n].Group == facts[0].Group && facts[n].Source == facts[0].Source && facts[n].Status == facts[0].Status {
		n++
	}
	return n
}

func factTable(facts []handbook.Fact) layout.Table {
	t := layout.Table{Columns: []layout.Column{{Least: 24}, {Least: 16}}}
	for _, f := range facts {
		value := f.Formula
		if value == "" {
			value = strings.TrimSpace(fmt.Sprintf("%s %s", strconv.FormatFloat(f.Value, 'g', 10, 64), f.Unit))
		}
		t.Rows = append(t.Rows, []string{f.Name, value})
	}
	return t
}
