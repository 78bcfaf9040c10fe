package readings

import (
	"fmt"
	"strings"
	"testing"

	"lostair/readings/units"
)

func BenchmarkLoad(b *testing.B) {
	for _, n := range []int{100, 10_000} {
		var csv strings.Builder
		csv.WriteString("date,open,point,quantity,value,unit,instrument,note\n")
		for i := range n {
			fmt.Fprintf(&csv, "2026-03-02,g%d,T%d,static_pressure,-%d.5,Pa,gauge,\n", i%7, i%300, 900+i%400)
		}
		b.Run(fmt.Sprintf("rows=%d", n), func(b *testing.B) {
			b.ReportAllocs()
			b.SetBytes(int64(csv.Len()))
			for b.Loop() {
				if s, list := Load(strings.NewReader(csv.String()), "s.csv", units.Metric); s == nil {
					b.Fatal(list)
				}
			}
		})
	}
}
