package units_test

import (
	"fmt"

	"lostair/readings/units"
)

// What people type becomes SI; SI becomes what people read.
func ExampleParse() {
	for _, text := range []string{"1250", "400 cfm", "4,5 m3/h", "30 L/s"} {
		v, err := units.Parse(text, units.Flow, units.Metric)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%s is %.4f m3/s, %s\n", text, v.SI, units.Format(v.SI, units.Flow, units.US))
	}
	_, err := units.Parse("12 Pa", units.Flow, units.Metric)
	fmt.Println(err)
	// Output:
	// 1250 is 0.3472 m3/s, 736 cfm
	// 400 cfm is 0.1888 m3/s, 400 cfm
	// 4,5 m3/h is 0.0013 m3/s, 2.65 cfm
	// 30 L/s is 0.0300 m3/s, 63.6 cfm
	// "Pa" is a unit of pressure, not of flow; use m3/h, m3/min, m3/s, L/s, L/min or cfm
}
