package handbook

import "math"

// The law of joins. Published laws of converging wyes give what total pressure
// each leg loses, on the main's velocity pressure behind the join, by the share q of
// the air that the branch brings. Both that stand here can be written as
//
//	branch    −α (1−q)² + β q² + γ q (1−q)
//	straight   δ (1−q)² + ε q² + γ q (1−q)
//
// which is a balance of momentum along the main's axis with factors of its own
// for what each leg brings, and a loss of each leg on its own velocity pressure:
// so it holds for any number of legs and for air that goes backwards. The model
// takes the middle of the two laws, and half of what they differ by is the
// spread of one parameter that all joins share.
type converging struct{ alpha, beta, delta, epsilon float64 }

// Gardel's law of a junction of pipes with sharp edges: A. Gardel, Bulletin
// Technique de la Suisse Romande 83 (1957), confirmed by Gardel and Rechsteiner
// in 1970 (values from memory; they meet Legg's 45° junction and the handbooks'
// tables of 45° wyes, see testdata/published/joins.csv).
const (
	gardelDead     = 0.92 // of a dead branch
	gardelTurn     = 1.2
	gardelSlow     = 0.8
	gardelPass     = 0.03 // of the straight leg when the branch is dead
	gardelBrings   = 1.62
	gardelNarrowed = 0.38
)

// Idelchik's balance of momentum and the factor A on a branch's loss, where the
// main keeps its area and the branch has more than 0.35 of it: 0.9 (1−q), from
// q = 0.4 on 0.55 (Handbook of Hydraulic Resistance, table 7-1, quoted).
const (
	idelchikDead   = 0.9
	idelchikFull   = 0.55
	idelchikSquare = 1.55 // of q at the straight leg of a 90° tee: 1.55 q − q²
	squareFrom     = math.Pi / 3
	// The factor sets in at an area ratio of 0.35 at once; here between these.
	factorFrom = 0.25
	factorTo   = 0.45
)

// What Idelchik adds where the main grows by the branch's area
// (table 7-2, quoted): rows by angle in degrees, columns by area ratio of the
// branch; first for the straight leg, then for the branch.
var (
	growthRatios   = []float64{0.1, 0.2, 0.33, 0.5}
	growthAngles   = []float64{15, 30, 45, 60, 90}
	growthStraight = [][]float64{{0, 0, 0.14, 0.40}, {0, 0, 0.17, 0.35}, {0.05, 0.14, 0.14, 0.30}, {0, 0, 0.10, 0.25}, {0, 0, 0, 0}}
	growthBranch   = [][]float64{{0, 0, 0, 0}, {0, 0, 0, 0}, {0, 0, 0, 0}, {0, 0, 0, 0.10}, {0, 0.1, 0.2, 0.25}}
)

// growthTaken is the share of it that the model takes: the handbooks' tables of
// such wyes have none of it at the straight leg, and more at the branch.
const growthTaken = 0.5

// mostApart bounds the share by which two laws may differ in what a leg brings:
// a branch at 90° brings next to nothing.
const mostApart = 0.3

// gardel returns his law of a branch at an angle, with an area ratio up to 1.
func gardel(angle, ratio float64) converging {
	c := math.Cos(angle)
	turn := c/ratio - 1
	return converging{
		alpha:   gardelDead,
		beta:    gardelSlow*(1/(ratio*ratio)-1) + (1/ratio-1)*c - gardelTurn*turn,
		delta:   gardelPass,
		epsilon: gardelNarrowed*(1-ratio) - 1 - gardelBrings*turn,
	}
}

// idelchikLaw returns Idelchik's.
func idelchikLaw(angle, ratio float64) converging {
	c := math.Cos(angle)
	w := min(max((ratio-factorFrom)/(factorTo-factorFrom), 0), 1)
	return converging{
		alpha:   1 - (1-idelchikDead)*w,
		beta:    (1 - (1-idelchikFull)*w) * (1 + 1/(ratio*ratio) - 2*c/ratio),
		epsilon: 1 - 2*c/ratio - (2-idelchikSquare)*square(angle),
	}
}

// square is how much of a 90° tee a branch is, from 60° on.
func square(angle float64) float64 {
	return min(max((angle-squareFrom)/(math.Pi/2-squareFrom), 0), 1)
}

// crossed is γ, midway between the laws: 2 less the area ratio by Gardel, 2 by
// Idelchik and 1.55 at 90°.
func crossed(angle, ratio float64) float64 {
	return 2 - ratio/2 - (2-idelchikSquare)*square(angle)/2
}

// growth interpolates a table of what a growing main adds.
func growth(table [][]float64, angle, ratio float64) float64 {
	rows := make([]point, len(growthAngles))
	for i, a := range growthAngles {
		row := make([]point, len(growthRatios))
		for j, r := range growthRatios {
			row[j] = point{r, table[i][j]}
		}
		rows[i] = point{a, at(row, ratio)}
	}
	return at(rows, angle*180/math.Pi)
}

// Leg is what the law says of one leg of a join, on its own velocity pressure.
type Leg struct {
	Brings     float64 // momentum
	Loses      float64 // total pressure
	LossApart  float64 // half of what the two laws differ by
	BringApart float64 // the same of the momentum, as a share
}

// Joint is a join as the law sees it.
type Joint struct {
	Takes float64 // momentum that leaves, on the main's velocity pressure; 2 by the bare balance
	Legs  []Leg
}

// NewJoint works a join out from its legs' angles and areas and the main's.
// Without a straight leg, or without a branch, it is the bare balance of
// momentum (Idelchik's symmetrical wyes).
func NewJoint(angles, areas []float64, main float64) Joint {
	j := Joint{Takes: 2, Legs: make([]Leg, len(angles))}
	var straight, branch float64
	for i, a := range angles {
		j.Legs[i].Brings = 2 * math.Cos(a) * areas[i] / main
		if a == 0 {
			straight += areas[i] / main
		} else {
			branch += areas[i] / main
		}
	}
	if straight == 0 || branch == 0 {
		return j
	}
	kept := 1 - min(max((1-straight)/branch, 0), 1) // 1: the main keeps its area; 0: it grows by the branch's
	var gamma, dead, deadApart, grown float64
	for i, a := range angles {
		if a == 0 {
			continue
		}
		w := areas[i] / main / branch
		ratio := min(areas[i]/main, 1)
		g, d := gardel(a, ratio), idelchikLaw(a, ratio)
		gamma += w * crossed(a, ratio)
		dead += w * (g.alpha + g.delta + d.alpha + d.delta) / 2
		deadApart += w * (g.alpha + g.delta - d.alpha - d.delta) / 2
		grown += w * growth(growthStraight, a, ratio) * growthTaken
	}
	j.Takes += (1-kept)*grown - kept*(1-gamma/2)
	for i, a := range angles {
		l, ratio := &j.Legs[i], areas[i]/main
		if a == 0 {
			// what of the straight leg differs from the bare balance goes with
			// the velocity that its air would have in the main, if that is no narrower
			own := kept * min(ratio, 1) * min(ratio, 1)
			l.Loses = -own * (1 - dead)
			l.LossApart = own*deadApart - (1-kept)*grown
			l.Brings -= own * (2 - gamma/2 - alphaOf(angles, areas, main))
			continue
		}
		ratio = min(ratio, 1)
		g, d := gardel(a, ratio), idelchikLaw(a, ratio)
		own := kept * ratio * ratio
		l.Loses = own*(g.beta-g.epsilon+d.beta-d.epsilon)/2 - kept + (1-kept)*growthTaken*growth(growthBranch, a, ratio)
		l.LossApart = own*(g.beta-g.epsilon-d.beta+d.epsilon)/2 + (1-kept)*grown
		l.Brings -= own * ((g.epsilon+d.epsilon)/2 - gamma/2 + 2*math.Cos(a)/ratio)
		if l.Brings > 0 {
			l.BringApart = min(max(own*(d.epsilon-g.epsilon)/2/l.Brings, -mostApart), mostApart)
		}
	}
	return j
}

// alphaOf is the mean of both laws' α over the branches, by area.
func alphaOf(angles, areas []float64, main float64) float64 {
	var sum, of float64
	for i, a := range angles {
		if a == 0 {
			continue
		}
		ratio := min(areas[i]/main, 1)
		sum += areas[i] * (gardel(a, ratio).alpha + idelchikLaw(a, ratio).alpha) / 2
		of += areas[i]
	}
	return sum / of
}
