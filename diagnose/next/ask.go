package next

import (
	"lostair/diagnose/airflow"
	"lostair/diagnose/plan"
)

// leastBits is the bits below which a reading is not worth its while.
const leastBits = 0.02

// ask is what could be read or looked at, with what each rival says of it.
type ask struct {
	Step
	setting string // of the gates and hoses; "": they don't matter
	cfg     airflow.Config
	spot    plan.SpotToRead
	logs    [][]float64 // by sample, by rival: log likelihood of what is then seen
	decides float64     // bits that it tells of what to do
	gain    float64     // minutes that the best sequence from it on saves, less those it takes
}
