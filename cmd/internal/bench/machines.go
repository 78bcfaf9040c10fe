package bench

import (
	"slices"
	"strings"

	"lostair/diagnose/duct/edit"
)

// machineOf is the row of the machine that a port serves with others, or -1.
func machineOf(root edit.Value, port string) int {
	return slices.IndexFunc(root.Get("machines").Rows, func(m edit.Value) bool { return slices.Contains(portsOf(m), port) })
}

// portsOf are the ids of a machine's ports.
func portsOf(machine edit.Value) []string {
	var out []string
	for _, p := range machine.Get("ports").Rows {
		if p.Text != "" {
			out = append(out, p.Text)
		}
	}
	return out
}

func namesText(ids []string) string {
	var out []string
	for _, id := range ids {
		out = append(out, edit.Scalar(id))
	}
	return "[" + strings.Join(out, ", ") + "]"
}
