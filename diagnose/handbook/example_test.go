package handbook_test

import (
	"fmt"
	"math"

	"lostair/diagnose/handbook"
)

// What a long-radius bend of 45° takes of the velocity pressure, beside two metres
// of spiral duct of 100 mm in which air goes at 20 m/s.
func Example() {
	air := handbook.Density(293.15, handbook.Barometer(0), 0.5)
	bend := handbook.ElbowLoss(math.Pi/4, 1.5, true)
	re := air * 20 * 0.1 / handbook.Viscosity(293.15)
	f, _, _ := handbook.FrictionFactor(re, 0.09e-3/0.1, 0)
	fmt.Printf("velocity pressure %.0f Pa, of which the bend takes %.2f and the duct %.2f\n", air/2*20*20, bend, f*2/0.1)
	// Output:
	// velocity pressure 240 Pa, of which the bend takes 0.12 and the duct 0.43
}
