package systemfile

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
)

// What is questioned of many ducts or ports of a plant is said once, with the first
// three and how many more there are; of a few it is said of each.
func TestWhatIsQuestionedOftenIsSaidOnce(t *testing.T) {
	warned := func(n int) []string {
		var b strings.Builder
		b.WriteString("units: metric\ncollector: {inlet: 300, fan: {curve: [[0, 3000], [9000, 0]]}}\nducts:\n  - {id: main, into: collector, diameter: 150, length: 5, material: galvanised}\n")
		for k := range n {
			fmt.Fprintf(&b, "  - {id: d%d, into: main, diameter: 160, length: 2, enters: 45, material: galvanised}\n", k)
		}
		b.WriteString("ports:\n")
		for k := range n {
			fmt.Fprintf(&b, "  - {id: p%d, duct: d%d, hood: 1, need: 5000}\n", k, k)
		}
		_, list := Load([]byte(b.String()), "shop.yaml")
		require.NoError(t, list.Err(), "%v", list)
		var out []string
		for _, p := range list {
			out = append(out, p.String())
		}
		return out
	}
	require.Equal(t, []string{
		`shop.yaml:5:36: warning: 9 ducts are larger than those into which they flow: "d0" (160 mm into 150 mm), "d1" (160 mm into 150 mm), "d2" (160 mm into 150 mm) and 6 more; check their sizes: towards the collector ducts get larger`,
		`shop.yaml:15:39: warning: 9 ports need air that would be far too fast or too slow in their ducts: "p0" (69.1 m/s), "p1" (69.1 m/s), "p2" (69.1 m/s) and 6 more; check the units of needs and diameters: dust ducts run at 15 m/s to 30 m/s`,
	}, warned(9))
	few := strings.Join(warned(2), "\n")
	require.Equal(t, 2, strings.Count(few, `is wider than "main" (150 mm), into which it flows; check both diameters`), few)
	require.Equal(t, 2, strings.Count(few, "needs 5000 m3/h, which is 69.1 m/s in its duct of 160 mm; check the units of both"), few)
}
