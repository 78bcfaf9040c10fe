package systemfile

import (
	"fmt"
	"runtime"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A file of the largest size, wrong all over, is answered with a bounded list.
func TestProblemsAreBounded(t *testing.T) {
	row := "  - {id: a, into: nowhere, diameter: x}\n"
	data := "ducts:\n" + strings.Repeat(row, (maxBytes-100)/len(row)/8)
	s, list := Load([]byte(data), "f")
	require.Nil(t, s)
	assert.LessOrEqual(t, len(list), 1001)
	assert.Contains(t, list[len(list)-1].What, "more problems")
}

// However many ducts of a join enter straight, that is said of a few; and what is
// wrong is said before what is doubtful.
func TestWarningsAreBounded(t *testing.T) {
	text := func(more string) []byte {
		var ducts, ports strings.Builder
		for i := range 3000 {
			fmt.Fprintf(&ducts, "  - {id: d%d, into: main, diameter: 100, length: 40, material: flexible}\n", i) // so long that each is doubted
			fmt.Fprintf(&ports, "  - {id: p%d, duct: d%d, hood: 1}\n", i, i)
		}
		return []byte("units: metric\ncollector: {inlet: 500, fan: {curve: [[0, 2400], [9000, 1100]]}}\nducts:\n" +
			"  - {id: main, into: collector, diameter: 500, length: 4, material: spiral}\n" + ducts.String() + "ports:\n" + ports.String() + more)
	}
	s, list := Load(text(""), "f")
	require.NotNil(t, s)
	require.Len(t, list, 1001)
	const named = 4 // of the ducts of one join that enter straight
	straight, last := 0, ""
	for _, p := range list {
		if strings.Contains(p.What, "enters straight") {
			straight, last = straight+1, p.What
		}
	}
	assert.Equal(t, named+1, straight)
	assert.Contains(t, last, "and so do 2999 more in the same join")
	assert.True(t, list[1000].Warning)

	s, list = Load(text("  - {id: last, duct: nowhere, hood: 1}\n"), "f")
	require.Nil(t, s)
	require.Len(t, list, 1001)
	assert.Contains(t, list[999].What, "nowhere")
	assert.False(t, list[999].Warning)
}

// What a file takes in memory is in proportion to its size, whatever it holds:
// all that is allocated on the way is counted.
func TestMemoryIsInProportion(t *testing.T) {
	chain := func(n int) string {
		var b strings.Builder
		b.WriteString("units: metric\ncollector:\n  inlet: 300\n  fan: {curve: [[0, 4000], [4000, 3000], [8000, 0]]}\nducts:\n  - {id: d0, into: collector, diameter: 300, length: 1, material: pvc}\n")
		for i := 1; i < n; i++ {
			fmt.Fprintf(&b, "  - {id: d%d, into: d%d, diameter: 300, length: 1, material: pvc}\n", i, i-1)
		}
		fmt.Fprintf(&b, "ports:\n  - {id: p, duct: d%d, hood: plain}\n", n-1)
		return b.String()
	}
	const most = 1500 // bytes allocated for each of the file
	for name, of := range map[string]func(n int) string{
		"a chain of ducts": chain,
		"ducts alone":      func(n int) string { return "ducts:\n" + strings.Repeat("  - {id: a, into: b}\n", n) },
		"nonsense":         func(n int) string { return strings.Repeat("? x: [{", n) },
		"numbers":          func(n int) string { return "a: [" + strings.Repeat("1, ", n) + "1]" },
	} {
		for _, n := range []int{1000, 8000} {
			data := []byte(of(n))
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			Load(data, "f")
			runtime.ReadMemStats(&after)
			assert.Less(t, (after.TotalAlloc-before.TotalAlloc)/uint64(len(data)), uint64(most), "%s, %d", name, n)
		}
	}
}
