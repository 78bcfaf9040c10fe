package systemfile

import "strings"

// byLetters finds ids as they are written, or in other letters, capital or small, a hyphen
// or an underscore, where only one can be meant.
type byLetters struct {
	exact, folded map[string]int
}

var hyphens = strings.NewReplacer("_", "-", " ", "-")

func folded(id string) string { return hyphens.Replace(strings.ToLower(id)) }

// ambiguous is the place of what two ids are, apart from their letters.
const ambiguous = -1

func byLettersOf(ids []string) byLetters {
	x := byLetters{make(map[string]int, len(ids)), make(map[string]int, len(ids))}
	for i := len(ids) - 1; i >= 0; i-- { // backwards: of two alike the first one stays
		x.exact[ids[i]] = i
	}
	for i, id := range ids {
		low := folded(id)
		if other, ok := x.folded[low]; ok && other != ambiguous && ids[other] != id {
			x.folded[low] = ambiguous
		} else if !ok {
			x.folded[low] = i
		}
	}
	return x
}

func (x byLetters) find(id string) (int, bool) {
	if i, ok := x.exact[id]; ok && id != "" {
		return i, true
	}
	i, ok := x.folded[folded(id)]
	return i, ok && i != ambiguous && id != ""
}
