package doubt

import "math"

// What is expected of a new install. Common practice, no source.
const (
	NewSizePrior = 0.22 // that one duct is of another size than its page says
	SizeStep     = 0.18 // by how much sizes next to one another differ, logarithm
)

// builtSizes are the sizes that a duct of a new install may have been built of:
// the nearest are likeliest, since the wrong one was on the shelf.
func (x *Setup) builtSizes(i int, prior float64) []*Mistake {
	d := x.M.Sys.Ducts[i].Diameter
	list := sizesNear(d, x.M.Sys.Units)
	weight, sum := make([]float64, len(list)), 0.0
	for k, size := range list {
		weight[k] = math.Exp(-math.Abs(math.Log(size/d)) / SizeStep)
		sum += weight[k]
	}
	var out []*Mistake
	for k, size := range list {
		out = append(out, x.sizeMistake(i, size, prior*weight[k]/sum))
	}
	return out
}
