package duct_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct/systemfile"
)

// How each port is read on its own, and the whole under load, by what is in use.
func TestSettingsToRead(t *testing.T) {
	for settings, want := range map[string]string{
		"":                              "a|b|c; all",
		"settings: [a, b, c]":           "a|b|c; a",
		"settings: [a+b+c, a+b]":        "a+b|a+b|a+b+c; a+b+c a+b",
		"settings: [b+c, b, all]":       "all|b|b+c; all b+c",
		"settings: [a+b]":               "a+b|a+b|c; a+b", // c is in use in none, so alone
		"settings: [none, a+c, b, b+c]": "a+c|b|a+c; a+c b+c",
	} {
		s, list := systemfile.Load([]byte(`units: metric
collector: {inlet: 150, fan: {curve: [[0, 2500], [2500, 100]]}}
ducts:
  - {id: a-drop, into: collector, diameter: 100, length: 2, material: pvc, enters: 45, gate: a}
  - {id: b-drop, into: collector, diameter: 100, length: 2, material: pvc, enters: 45, gate: b}
  - {id: c-drop, into: collector, diameter: 100, length: 2, material: pvc, enters: 45, gate: c}
ports:
  - {id: a, duct: a-drop, hood: 1.2}
  - {id: b, duct: b-drop, hood: 1.2}
  - {id: c, duct: c-drop, hood: 1.2}
`+settings+"\n"), "x.yaml")
		require.NoError(t, list.Err(), settings)
		var near, all []string
		for p := range s.Ports {
			near = append(near, s.Nearest(p).String())
		}
		for _, x := range s.Together() {
			all = append(all, x.String())
		}
		assert.Equal(t, want, strings.Join(near, "|")+"; "+strings.Join(all, " "), settings)
	}
}
