package search

// predictionsMost bounds what a search under some factors may take: so many
// times each worker may work the readings out before it begins no further fit.
// Where nothing fits, fits would creep on for as long as they may.
// What lies beside the faults found is looked at with an allowance of its own:
// if growing used up all of it, one of several places that can't be told apart
// would stand alone, and be called sure.
const (
	predictionsMost   = 650
	predictionsSpent  = 150  // the same where growing used up its own
	predictionsWorld  = 350  // of a search in another world, of which there are many; and for its neighbours
	predictionsScout  = 350  // of a search as long as it looks at the likeliest
	predictionsBrief  = 100  // of a brief search, as long as it looks at the likeliest
	predictionsBeside = 500  // to put neighbours in the place of faults
	predictionsLarge  = 1400 // of a large survey, for either: of its fits, which are few, each counts
)

// most is an allowance as the survey's size asks for it.
func (g *Search) most(predictions int) int {
	switch {
	case g.S.Large():
		return predictionsLarge
	case g.worth != nil:
		return min(predictions, predictionsWorld)
	}
	return predictions
}

// allowBeside lets each worker begin anew, with what it may take for the neighbours of
// faults. Where growing came to its bound nothing fits well, and little more is spent.
func (g *Search) allowBeside() {
	most := g.most(predictionsBeside)
	for _, t := range g.Workers() {
		if t.Spent() {
			most = min(most, predictionsSpent)
		}
	}
	for _, t := range g.Workers() {
		t.Rested()
	}
	for _, w := range g.Both {
		w.P.S[1].Rested()
	}
	g.allow(most)
}

// allow lets each worker work the readings out so many times in all.
func (g *Search) allow(predictions int) {
	most := predictions * max(len(g.S.B.Configs), 1)
	g.S.Most = most
	for _, t := range g.Workers() {
		t.Most = most
	}
	for _, w := range g.Both {
		w.P.S[1].Most = most
	}
}
