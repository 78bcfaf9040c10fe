package airflow

import "fmt"

// Config is a gate configuration: what is open, and at which ports the machine is unhooked.
type Config struct {
	Open    []bool // by gate, in the order of Sys.Gates()
	HoseOff []bool // by port; nil: none
}

// Configure builds a Config from ids. all overrides open.
func (m *Model) Configure(all bool, open, hoseOff []string) (Config, error) {
	c := Config{Open: make([]bool, len(m.gates))}
	for i := range c.Open {
		c.Open[i] = all
	}
	for _, id := range open {
		i, ok := m.gateIx[id]
		if !ok {
			return c, fmt.Errorf("there is no gate %q", id)
		}
		c.Open[i] = true
	}
	for _, id := range hoseOff {
		p, ok := m.Sys.PortNamed(id)
		if !ok {
			return c, fmt.Errorf("there is no port %q", id)
		}
		if c.HoseOff == nil {
			c.HoseOff = make([]bool, len(m.ports))
		}
		c.HoseOff[p] = true
	}
	return c, nil
}
