package command

import (
	"strings"

	"github.com/spf13/cobra"

	"lostair/report/layout"
)

// HelpWidth is how wide help may be.
const HelpWidth = 80

// FoldHelp folds the long help of a command and of those below it.
func FoldHelp(cmd *cobra.Command) {
	cmd.Long = folded(cmd.Long)
	for _, c := range cmd.Commands() {
		FoldHelp(c)
	}
}

// folded keeps text to HelpWidth: paragraphs are set anew, an indented line is
// broken below its second column.
func folded(text string) string {
	var out, para []string
	flush := func() {
		out = append(out, wrapped(strings.Fields(strings.Join(para, " ")), "")...)
		para = nil
	}
	for _, line := range strings.Split(text, "\n") {
		switch {
		case line == "":
			flush()
			out = append(out, "")
		case line[0] != ' ':
			para = append(para, line)
		default:
			flush()
			out = append(out, hanging(line)...)
		}
	}
	flush()
	return strings.Join(out, "\n")
}

// hanging breaks an indented line.
func hanging(line string) []string {
	if len(line) <= HelpWidth {
		return []string{line}
	}
	start := len(line) - len(strings.TrimLeft(line, " "))
	if i := strings.LastIndex(line[:HelpWidth], "  "); i > start {
		start = i + 2
	}
	rest := wrapped(strings.Fields(line[start:]), strings.Repeat(" ", start))
	rest[0] = line[:start] + strings.TrimLeft(rest[0], " ")
	return rest
}

// wrapped sets words in lines, each behind an indent.
func wrapped(words []string, indent string) []string {
	if len(words) == 0 {
		return nil
	}
	lines := layout.Wrap(strings.Join(words, " "), HelpWidth-len(indent))
	for i := range lines {
		lines[i] = indent + lines[i]
	}
	return lines
}
