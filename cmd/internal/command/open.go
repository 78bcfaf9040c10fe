package command

import (
	"strings"

	"github.com/spf13/cobra"

	"lostair/diagnose/duct/systemfile"
	"lostair/readings"
)

// CompleteOpen completes a flag that takes a gate expression: the ids of the
// gates in the system file that is the first argument, after what stands
// before the last +.
func CompleteOpen(cmd *cobra.Command, flag string) {
	_ = cmd.RegisterFlagCompletionFunc(flag, func(_ *cobra.Command, args []string, typed string) ([]string, cobra.ShellCompDirective) {
		done := ""
		if i := strings.LastIndex(typed, "+"); i >= 0 {
			done = typed[:i+1]
		}
		var out []string
		if done == "" {
			out = append(out, "all", "none")
		}
		if len(args) == 0 {
			return out, cobra.ShellCompDirectiveNoFileComp
		}
		sys, _ := systemfile.LoadFile(args[0])
		if sys == nil {
			return out, cobra.ShellCompDirectiveNoFileComp
		}
		for _, g := range sys.Gates() {
			if !strings.Contains("+"+done, "+"+g+"+") {
				out = append(out, done+g)
			}
		}
		return out, cobra.ShellCompDirectiveNoFileComp | cobra.ShellCompDirectiveNoSpace
	})
}

// Opens reads gate settings as the user gives them.
func Opens(cmd *cobra.Command, texts []string) ([]readings.Open, error) {
	var out []readings.Open
	for _, t := range texts {
		o, err := readings.ParseOpen(t)
		if err != nil {
			return nil, Misuse(cmd, err)
		}
		out = append(out, o)
	}
	return out, nil
}
