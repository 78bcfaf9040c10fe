package kept

import (
	"fmt"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type part struct {
	Name   string
	Inside []part
}

type whole struct {
	Flow, Lost, Far float64
	Kind            uint8
	Up              bool
	Nothing, Empty  []int
	At              [3]int
	When            time.Time
	One, Other, No  *part
	Zero            *float64
	Parts           []*part
	hidden          int
}

func TestUnpackUndoesPack(t *testing.T) {
	p, zero := &part{"a \"b\" é", []part{{Name: "in"}}}, 0.0
	a := whole{Flow: 0.1 + 0.2, Lost: math.NaN(), Far: math.Inf(-1), Kind: 200, Up: true, Empty: []int{}, At: [3]int{1, -2, 3},
		When: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC), One: p, Other: p, Zero: &zero, Parts: []*part{{}, p}, hidden: 1}
	s, err := Pack(&a)
	require.NoError(t, err)
	var b whole
	require.NoError(t, Unpack(s, &b))
	assert.True(t, math.IsNaN(b.Lost))
	assert.Same(t, b.One, b.Other, "what two pointers share")
	assert.Same(t, b.One, b.Parts[1])
	a.hidden, a.Lost, b.Lost = 0, 0, 0
	assert.Equal(t, a, b)
}

// named is packed by its name, like a kind of fault.
type named uint8

func (n named) MarshalText() ([]byte, error) { return []byte([]string{"first", "second"}[n]), nil }

func (n *named) UnmarshalText(b []byte) error {
	for i, s := range []string{"first", "second"} {
		if s == string(b) {
			*n = named(i)
			return nil
		}
	}
	return fmt.Errorf("no %q", b)
}

// What has a name is kept by it, whatever number it has by then; what was kept by its
// number is still read.
func TestNamesAreKept(t *testing.T) {
	s, err := Pack(&struct{ K named }{1})
	require.NoError(t, err)
	var text struct{ K string }
	require.NoError(t, Unpack(s, &text))
	assert.Equal(t, "second", text.K)
	var back struct{ K named }
	require.NoError(t, Unpack(s, &back))
	assert.Equal(t, named(1), back.K)
	s, err = Pack(&struct{ K uint8 }{1})
	require.NoError(t, err)
	require.NoError(t, Unpack(s, &back))
	assert.Equal(t, named(1), back.K)
	s, err = Pack(&struct{ K string }{"third"})
	require.NoError(t, err)
	assert.ErrorContains(t, Unpack(s, &back), "third")
}

func TestUnpackRefusesWhatDoesNotFit(t *testing.T) {
	good, err := Pack(&part{Name: "a"})
	require.NoError(t, err)
	for _, s := range []string{"", "no base64!", "AAAA", good[:len(good)/2]} {
		assert.Error(t, Unpack(s, &part{}), "%q", s)
	}
	assert.Error(t, Unpack(good, &struct{ Name int }{}))
	assert.Error(t, Unpack(good, &struct{ Name []int }{}))
	assert.NoError(t, Unpack(good, &struct{ Other int }{}), "a field that was dropped since")
	_, err = Pack(&struct{ F func() }{func() {}})
	assert.Error(t, err)
}
