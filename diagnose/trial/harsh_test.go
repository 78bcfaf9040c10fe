package trial

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// Plants far off their page solve whichever law their ducts join by. These
// seeds once did not: the solver started without the exchange at joins, and
// where that is most of the pressure Newton's way led nowhere.
func TestHarshPlantsSolve(t *testing.T) {
	for _, seed := range []uint64{535, 559, 603} {
		for _, law := range []Law{MomentumLaw, HandbookLaw} {
			o := Harsh()
			o.Quick, o.Join = true, law
			_, err := NewCase(seed, o)
			require.NoError(t, err)
		}
	}
}
