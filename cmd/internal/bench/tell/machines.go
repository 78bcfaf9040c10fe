package tell

import (
	"slices"

	"lostair/diagnose/duct/edit"
)

// MachineOf is the row of the machine that a port serves with others, or -1.
func MachineOf(root edit.Value, port string) int {
	return slices.IndexFunc(root.Get("machines").Rows, func(m edit.Value) bool { return slices.Contains(PortsOf(m), port) })
}

// PortsOf are the ids of a machine's ports.
func PortsOf(machine edit.Value) []string {
	var out []string
	for _, p := range machine.Get("ports").Rows {
		if p.Text != "" {
			out = append(out, p.Text)
		}
	}
	return out
}
