package show

import (
	"testing"

	"github.com/stretchr/testify/require"
)

func TestChangesHaveNoSignBeforeNothing(t *testing.T) {
	for v, want := range map[float64]string{1: "0 %", 1.0004: "0 %", 0.9996: "0 %", 1.012: "+1.2 %", 0.95: "-5.0 %", 1.274: "+27 %"} {
		require.Equal(t, want, RatioText(v), v)
	}
}

func TestFiguresLineUp(t *testing.T) {
	for v, want := range map[float64]string{13: "13.0", 9.999: "10.0", 99.96: "100", 0.5: "0.50", 1250: "1250", 0: "0", -2.5: "-2.50"} {
		require.Equal(t, want, Even(v), v)
	}
	for v, want := range map[float64]string{1331: "1330", 959: "959", 14.2: "14.2"} {
		require.Equal(t, want, About(v), v)
	}
}
