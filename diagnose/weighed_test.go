package diagnose

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"lostair/diagnose/internal/search"
	"lostair/diagnose/internal/weigh"
)

func TestNoVerdictFromWhatIsNoNumber(t *testing.T) {
	sound := weigh.Posterior{G: &search.Search{}, Unlisted: 0.1, Site: []float64{0.2, 0.3}}
	assert.NoError(t, weighed(&sound))
	for _, bad := range []weigh.Posterior{
		{G: &search.Search{}, Unlisted: math.NaN()},
		{G: &search.Search{}, Site: []float64{0.2, math.NaN()}},
	} {
		assert.ErrorContains(t, weighed(&bad), "defect of lostair")
	}
}
