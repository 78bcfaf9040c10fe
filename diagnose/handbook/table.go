package handbook

import "math"

// point is a row of a one-argument table.
type point struct{ x, y float64 }

// at interpolates linearly between the rows of a table and holds its ends.
func at(table []point, x float64) float64 {
	if x <= table[0].x {
		return table[0].y
	}
	for i := 1; i < len(table); i++ {
		if p, q := table[i-1], table[i]; x <= q.x {
			return p.y + (q.y-p.y)*(x-p.x)/(q.x-p.x)
		}
	}
	return table[len(table)-1].y
}

// atLog interpolates the logarithm of y, for tables that span decades.
func atLog(table []point, x float64) float64 {
	i := 1
	for i < len(table)-1 && x > table[i].x {
		i++
	}
	p, q := table[i-1], table[i]
	return math.Exp(math.Log(p.y) + (math.Log(q.y)-math.Log(p.y))*(x-p.x)/(q.x-p.x))
}
