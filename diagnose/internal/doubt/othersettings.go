package doubt

import (
	"slices"

	"lostair/diagnose/internal/search"
	"lostair/readings"
)

// Settings are the settings of the gates for which another may be written.
func Settings(g *search.Search, cfg int) []readings.Open {
	was := g.S.B.Configs[cfg]
	var open []string
	gates := g.S.M.Sys.Gates()
	for _, id := range gates {
		if was.Open.Opens(id) {
			open = append(open, id)
		}
	}
	var out []readings.Open
	for _, id := range gates {
		if k := slices.Index(open, id); k >= 0 {
			out = append(out, readings.Open{Gates: slices.Delete(slices.Clone(open), k, k+1)})
			continue
		}
		more := append(slices.Clone(open), id)
		slices.Sort(more)
		out = append(out, readings.Open{Gates: more})
		if len(open) == 1 {
			out = append(out, readings.Open{Gates: []string{id}})
		}
	}
	return out
}
