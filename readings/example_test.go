package readings_test

import (
	"fmt"
	"strings"

	"lostair/readings"
	"lostair/readings/units"
)

// A survey with a static pressure read twice and a traverse of three
// positions, saved by a spreadsheet that writes decimal commas.
func ExampleLoad() {
	const csv = `open;point;quantity;value;unit;position
planer;P1;static_pressure;-1,31;kPa;
planer;P1;static_pressure;-1,33;kPa;
planer+lathe;M1;velocity_pressure;210;Pa;1
planer+lathe;M1;velocity_pressure;264;Pa;2
planer+lathe;M1;velocity_pressure;221;Pa;3
planer;P2;static_pressure;;kPa;
`
	survey, problems := readings.Load(strings.NewReader(csv), "june.csv", units.Metric)
	for _, p := range problems {
		fmt.Println(p)
	}
	if survey == nil {
		return
	}
	for _, r := range survey.Readings {
		fmt.Printf("%s, %s open: %s %s (%d rows)\n", r.Point, r.Open, r.Quantity,
			units.Format(r.Value, r.Quantity.Dimension(), units.Metric), len(r.Rows))
	}
	// Output:
	// june.csv:7:27: warning: this row has no value and is left out; fill it in or delete the row
	// P1, planer open: static_pressure -1320 Pa (2 rows)
	// M1, lathe+planer open: velocity_pressure 231 Pa (3 rows)
}

// A slip is reported with its place and what to do, and there is no survey.
func ExampleLoad_problems() {
	const csv = `open,point,quantity,value
planer,P1,static_presure,-1310
planer,P2,static_pressure,"1,310"
`
	survey, problems := readings.Load(strings.NewReader(csv), "june.csv", units.Metric)
	fmt.Println(problems)
	fmt.Println(survey == nil)
	// Output:
	// june.csv:2:11: the quantity "static_presure" is not known; did you mean "static_pressure"?
	// june.csv:3:27: "1,310" can be read in two ways; write 1310 or 1.310
	// true
}
