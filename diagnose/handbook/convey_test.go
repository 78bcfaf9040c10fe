package handbook

import (
	"testing"

	"github.com/stretchr/testify/require"

	"lostair/diagnose/duct"
	"lostair/readings/units"
)

// The usual conveying velocity stands in for what the file leaves out, and says so.
func TestConveyingVelocityLeftOut(t *testing.T) {
	sys := &duct.System{Limits: duct.Limits{ConveyBranch: 18}}
	c := ConveyOf(sys)
	require.Equal(t, []float64{18, UsualConvey}, []float64{c.Branch, c.Main})
	require.Equal(t, UsualConvey, c.Usual)
	sys.Limits = duct.Limits{ConveyMain: 17}
	c = ConveyOf(sys)
	require.Equal(t, []float64{UsualConvey, 17}, []float64{c.Branch, c.Main})
	sys.Limits = duct.Limits{ConveyBranch: 18, ConveyMain: 17}
	require.Equal(t, Convey{Branch: 18, Main: 17, Source: "by the system file"}, ConveyOf(sys))
	sys.Units = units.US
	sys.Limits.ConveyMain = 0
	require.Equal(t, UsualConveyUS, ConveyOf(sys).Usual)
}
