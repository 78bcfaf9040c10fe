package search

// The spread of a system about its page is itself learned: a shop built with
// care lies near it, another does not; and so is what is fresh in each reading:
// one hand is steady, another is not. These are the factors that are tried on
// all as-built spreads and on all fresh errors, with the log of what each is
// worth before anything was read; of spreads, as of a lognormal that holds two
// thirds within a factor of 1.8. Common practice, no source.
var (
	SpreadFactors = []factor{{1, 0}, {1.5, -0.22}, {2.2, -0.86}, {3.2, -1.87}, {0.7, -0.18}}
	FreshFactors  = []factor{{1, 0}, {1.6, -1.5}, {2.5, -3}}
)

type factor struct{ By, Prior float64 }

// Scale is a factor on the spreads and one on the fresh errors.
type Scale struct{ Spread, Fresh, Prior float64 }

func Scales() []Scale {
	var out []Scale
	for _, f := range FreshFactors {
		for _, k := range SpreadFactors {
			out = append(out, Scale{k.By, f.By, k.Prior + f.Prior})
		}
	}
	return out
}
