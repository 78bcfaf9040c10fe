package next

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// twoRivals are two equally likely explanations that ask for two different things.
func twoRivals() *chooser {
	rivals := []rival{{weight: 0.5, class: 0}, {weight: 0.5, class: 1}}
	return newChooser(rivals, [][]float64{{0, 0}, {1, 0}, {0, 1}}, stand{})
}

// What tells nothing pays nothing, however much is told by what could be read after it.
func TestWhatTellsNothingDoesNotPay(t *testing.T) {
	c := twoRivals()
	asks := []ask{{Step: Step{Point: "idle", Minutes: 1}}, {Step: Step{Point: "telling", Minutes: 5}}}
	c.reading(&asks[0], []float64{0, 0}, []float64{1, 1}, 0)
	c.reading(&asks[1], []float64{0, 10}, []float64{1, 1}, 1)
	order := c.rank(asks)
	assert.Equal(t, []int{1, 0}, order)
	assert.InDelta(t, 0.5*WrongFirst-5-MinutesWalk, asks[1].gain, 1, "it settles the half that is open")
	assert.LessOrEqual(t, asks[0].gain, 0.0)
}

// Two readings that tell only together pay together.
func TestReadingsThatTellTogetherPay(t *testing.T) {
	rivals := []rival{{weight: 0.7, class: 0}, {weight: 0.3, class: 1}}
	c := newChooser(rivals, [][]float64{{1, 0}, {0, 1}}, stand{})
	asks := []ask{{Step: Step{Point: "a", Minutes: 1}}, {Step: Step{Point: "b", Minutes: 1}}}
	for i := range asks {
		c.looking(&asks[i], []float64{0.3, 0.69}, i) // one alone changes nothing: 0.7 * 0.3 > 0.3 * 0.69
	}
	assert.Zero(t, c.better(nil, &asks[0]))
	c.rank(asks)
	assert.Positive(t, asks[0].gain)
}

// Explanations that what is to be mended first would cure need not be told apart.
// Where nothing is to be mended, each fault is worth finding.
func TestExplanationsOfOneRemedyAreOneClass(t *testing.T) {
	rivals := []rival{{weight: 0.4, class: 0}, {weight: 0.4, class: 1}, {weight: 0.2, class: 2, fine: 1}}
	mend := newChooser(rivals, [][]float64{{0, 0, 1}, {1, 1, 0}}, stand{})
	assert.Equal(t, 1, mend.act)
	assert.Equal(t, mend.asking[0].class, mend.asking[1].class)
	assert.NotEqual(t, mend.asking[0].class, mend.asking[2].class)
	rivals[0].fine, rivals[1].fine = 1, 1
	none := newChooser(rivals, [][]float64{{1, 1, 1}, {1, 1, 0}}, stand{})
	assert.Zero(t, none.act)
	assert.NotEqual(t, none.asking[0].class, none.asking[1].class)
}
