package handbook

import (
	"fmt"

	"lostair/diagnose/duct/trade"
)

// Fact is one number or formula that the program computes with, as `lostair
// sources` lists it.
type Fact struct {
	Group  string  // what it is part of: "air", "friction"
	Name   string  // what it is, in words
	Symbol string  // declaration in the code that holds it
	Value  float64 // in Unit; of no meaning beside a Formula
	Unit   string  // "" for a pure number
	// Formula is set if the fact is a formula and no number.
	Formula string
	Source  string
	Status  string // one of the Status constants, or that of a material or hood
}

// How a number has come to the program.
const (
	StatusQuoted   = "quoted"                     // from someone else's quotation of the source
	StatusMemory   = "value from memory"          // confirmed by the checks in testdata/published where it could be
	StatusPractice = "common practice, no source" // what people in the trade take it to be
	StatusFixed    = "fixed by the file formats"  // a definition of the system or readings file
	StatusOwn      = "own choice"                 // of the model, where no number is published
)

// Facts lists every coefficient that the flow model computes with. The values
// are the very constants and tables of the code.
func Facts() []Fact {
	var out []Fact
	out = append(out, airFacts()...)
	out = append(out, frictionFacts()...)
	out = append(out, lossFacts()...)
	out = append(out, joinFacts()...)
	out = append(out, leakFacts()...)
	return append(out, collectorFacts()...)
}

const (
	cipmSource       = "CIPM-2007: A. Picard et al., Metrologia 45 (2008) 149–155"
	atmosphereSource = "U.S. Standard Atmosphere 1976"
	idelchik         = "I. E. Idelchik, Handbook of Hydraulic Resistance"
	acgih            = "ACGIH, Industrial Ventilation"
)

// group makes facts that share a group, a source and a status.
type group struct {
	name, source, status string
	out                  []Fact
}

func (g *group) add(symbol, name string, v float64, unit string) {
	g.out = append(g.out, Fact{Group: g.name, Name: name, Symbol: symbol, Value: v, Unit: unit, Source: g.source, Status: g.status})
}

func (g *group) formula(symbol, name, f string) {
	g.out = append(g.out, Fact{Group: g.name, Name: name, Symbol: symbol, Formula: f, Source: g.source, Status: g.status})
}

func (g *group) from(source, status string) { g.source, g.status = source, status }

func (g *group) table(symbol, name, x string, t []point) {
	for _, p := range t {
		g.add(symbol, fmt.Sprintf("%s, %s %g", name, x, p.x), p.y, "")
	}
}

func (g *group) growth(symbol, name string, t [][]float64) {
	for i, row := range t {
		for j, v := range row {
			g.add(symbol, fmt.Sprintf("%s, %g degrees, area ratio %g", name, growthAngles[i], growthRatios[j]), v, "")
		}
	}
}

func airFacts() []Fact {
	g := &group{name: "air"}
	g.from("file formats: standard air when none is given", StatusFixed)
	g.add("StandardDensity", "density of standard air", StandardDensity, "kg/m3")
	g.add("standardTemperature", "temperature of standard air", standardTemperature, "K")
	g.from(cipmSource, StatusQuoted)
	for i, v := range cipmSaturation {
		g.add("cipmSaturation", "saturation vapour pressure, "+letter(i), v, "")
	}
	for i, v := range cipmEnhancement {
		g.add("cipmEnhancement", "enhancement factor, "+letter(i), v, "")
	}
	g.from(cipmSource, StatusMemory)
	g.formula("Density", "density of moist air", "rho = p*M/(Z*R*T) * (1 - x(1 - Mv/M))")
	for _, s := range []struct {
		symbol, name string
		v            []float64
	}{
		{"cipmAir", "compressibility, air, a", cipmAir[:]}, {"cipmMixed", "compressibility, air and vapour, b", cipmMixed[:]},
		{"cipmVapour", "compressibility, vapour, c", cipmVapour[:]}, {"cipmSquares", "compressibility, squares, d e", cipmSquares[:]},
	} {
		for i, v := range s.v {
			g.add(s.symbol, fmt.Sprintf("%s%d", s.name, i), v, "")
		}
	}
	g.add("molarGas", "molar gas constant", molarGas, "J/(mol K)")
	g.add("molarAir", "molar mass of dry air at 400 ppm CO2", molarAir, "kg/mol")
	g.add("molarWater", "molar mass of water", molarWater, "kg/mol")
	g.from("definition of the degree Celsius", StatusFixed)
	g.add("zeroCelsius", "0 degrees Celsius", zeroCelsius, "K")
	g.from(atmosphereSource+", Sutherland's formula", StatusMemory)
	g.formula("Viscosity", "viscosity", "beta T^1.5/(T + S)")
	g.add("sutherlandBeta", "viscosity, beta", sutherlandBeta, "kg/(s m K^0.5)")
	g.add("sutherlandS", "viscosity, Sutherland's temperature", sutherlandS, "K")
	g.from(atmosphereSource+", lower layer", "read")
	g.add("standardPressure", "pressure at sea level", standardPressure, "Pa")
	g.formula("Barometer", "pressure by altitude", "p = p0 (1 - h/44329 m)^5.255876")
	g.add("atmosphereHeight", "pressure by altitude, height", atmosphereHeight, "m")
	g.add("atmosphereExponent", "pressure by altitude, exponent", atmosphereExponent, "")
	return g.out
}

func letter(i int) string { return string(rune('A' + i)) }

func frictionFacts() []Fact {
	g := &group{name: "friction"}
	g.from("H. Darcy, J. Weisbach", StatusMemory)
	g.formula("up", "loss along a duct", "dp = (K + f*L/D) * rho/2 * v^2")
	g.from("C. F. Colebrook, J. Inst. Civil Eng. 11 (1939) 133–156", StatusMemory)
	g.formula("colebrook", "turbulent friction factor", "1/sqrt(f) = -2 log10(k/(3.7 D) + 2.51/(Re sqrt(f)))")
	g.add("colebrookRough", "Colebrook, rough wall", colebrookRough, "")
	g.add("colebrookSmooth", "Colebrook, smooth wall", colebrookSmooth, "")
	g.from("Hagen and Poiseuille, laminar flow", StatusMemory)
	g.add("laminarFactor", "laminar friction factor times Reynolds number", laminarFactor, "")
	g.from("textbook range of transition, blended smoothly", StatusOwn)
	g.add("laminarEnd", "Reynolds number up to which flow is laminar", laminarEnd, "")
	g.add("turbulentStart", "Reynolds number from which flow is turbulent", turbulentStart, "")
	g.from("F. M. White, Fluid Mechanics: logarithmic law", StatusMemory)
	g.formula("CentreRatio", "velocity on the axis over the mean", "min(1 + 1.326 sqrt(f), 2)")
	g.add("centreSlope", "velocity on the axis over the mean, by the root of the friction factor", centreSlope, "")
	g.from("Hagen and Poiseuille, laminar flow", StatusMemory)
	g.add("laminarCentre", "velocity on the axis over the mean, laminar", laminarCentre, "")
	g.from("at an open mouth the profile is nearly flat, behind a hood it may be anything up to developed", StatusOwn)
	g.add("mouthProfile", "share of the excess over the mean that stands at a port's mouth", mouthProfile, "")
	g.from("ASHRAE Handbook Fundamentals, duct design: flexible duct that is not stretched out; Abushakra, Walker and Sherman measured 4 to 10 times", StatusMemory)
	g.formula("CompressionFactor", "friction of a hose shorter than stretched by a share r, D in inches", "1 + 58 r exp(-0.126 D)")
	g.add("compressionRise", "compressed hose, factor on the share", compressionRise, "")
	g.add("compressionFade", "compressed hose, fall by the diameter", compressionFade, "1/in")
	g.from(acgih+", equations for friction: flexible duct with its wires covered, 0.003 ft", StatusMemory)
	g.add("linedHose", "roughness of a hose with a smooth lining, stretched out", linedHose, "m")
	g.from("textbook definition; "+idelchik+", friction of tubes that are not round, turbulent flow", StatusMemory)
	g.formula("compileDuct", "diameter for the friction of a rectangular duct", "D = 2 w h/(w + h)")
	for _, m := range trade.Materials() {
		g.from(m.Source, m.Status)
		g.add("materials", "roughness of "+m.Name+": "+m.What, m.Roughness, "m")
	}
	return g.out
}

func lossFacts() []Fact {
	g := &group{name: "losses"}
	for _, h := range trade.Hoods() {
		g.from(h.Source, h.Status)
		g.add("hoods", "entry of a hood, "+h.Name+": "+h.What, h.Loss, "")
	}
	g.from(trade.TaperSource())
	for _, h := range trade.Hoods() {
		for _, p := range h.Taper {
			g.add("tapers", fmt.Sprintf("entry of a hood, %s, of %g degrees", h.Name, p.Degrees), p.Loss, "")
		}
	}
	g.from(acgih+", R/D 1.5 to 2.5; ASHRAE fitting tables below", StatusMemory)
	g.table("elbowSmooth", "elbow of 90 degrees, smooth", "R/D", elbowSmooth)
	g.table("elbowGored", "elbow of 90 degrees, of segments", "R/D", elbowGored)
	g.from(acgih+": losses of other angles in proportion to 90 degrees", StatusQuoted)
	g.formula("ElbowLoss", "elbow of another angle", "K = K90 * angle/90")
	g.from("J.-C. Borda, L. Carnot", StatusMemory)
	g.formula("SectionLoss", "abrupt widening, on the faster velocity pressure", "K = (1 - a/A)^2")
	g.from(idelchik+", sudden contraction", StatusMemory)
	g.add("abruptInward", "abrupt narrowing, factor on 1 − a/A", abruptInward, "")
	g.from(idelchik+", diffusers and confusers of usual length", StatusMemory)
	g.add("expansionShare", "taper that widens, share of the abrupt loss", expansionShare, "")
	g.add("contractionK", "taper that narrows", contractionK, "")
	g.from(idelchik+", flat blade in a round pipe", StatusMemory)
	var published, ends []point
	for _, p := range gateTable {
		if p.x >= gateExtrapolated && p.x < 1 {
			published = append(published, p)
		} else {
			ends = append(ends, p)
		}
	}
	g.table("gateTable", "gate by share of travel open", "travel", published)
	g.from("own extrapolation from the row at 12.5 %, between thin orifices of the openings that a round and a straight blade leave; wide open, charts give 0 to 0.08", StatusOwn)
	g.table("gateTable", "gate by share of travel open", "travel", ends)
	g.from("slot and lips of a blast gate", StatusPractice)
	g.add("GateOpenLoss", "gate wide open", GateOpenLoss, "")
	g.from(idelchik+", sharp-edged restriction: ((0.707 (1-f)^0.375 + 1 - f)/f)^2", StatusMemory)
	g.add("blockageEdge", "blockage, factor", blockageEdge, "")
	g.add("blockagePower", "blockage, exponent", blockagePower, "")
	g.from("no blockage shuts a duct wholly", StatusOwn)
	g.add("leastOpen", "least open share of a blocked bore", leastOpen, "")
	return g.out
}

func joinFacts() []Fact {
	g := &group{name: "joins"}
	g.from("A. Gardel, Bulletin Technique de la Suisse Romande 83 (1957): sharp-edged junctions", StatusMemory)
	g.formula("gardel", "branch and straight leg, Gardel, by share q and area ratio a", "-0.92(1-q)^2 + q^2(0.8(1/a^2-1) + (1/a-1)cos - 1.2(cos/a-1)) + (2-a)q(1-q); 0.03(1-q)^2 - q^2(1 + 1.62(cos/a-1) - 0.38(1-a)) + (2-a)q(1-q)")
	g.add("gardelDead", "Gardel, dead branch", gardelDead, "")
	g.add("gardelTurn", "Gardel, turn of the branch", gardelTurn, "")
	g.add("gardelSlow", "Gardel, branch slowed down", gardelSlow, "")
	g.add("gardelPass", "Gardel, straight leg beside a dead branch", gardelPass, "")
	g.add("gardelBrings", "Gardel, momentum of the branch", gardelBrings, "")
	g.add("gardelNarrowed", "Gardel, straight leg narrowed", gardelNarrowed, "")
	g.from(idelchik+", converging wyes, tables 7-1 to 7-3", StatusQuoted)
	g.formula("idelchikLaw", "branch and straight leg, Idelchik", "A(1 + (q/a)^2 - 2(1-q)^2 - 2 q^2 cos/a); 1 - (1-q)^2 - 2 q^2 cos/a")
	g.add("idelchikDead", "factor A, share of the branch near 0", idelchikDead, "")
	g.add("idelchikFull", "factor A, share of the branch above 0.4", idelchikFull, "")
	g.add("idelchikSquare", "straight leg of a 90 degree tee, factor on q", idelchikSquare, "")
	g.growth("growthStraight", "straight leg of a main that grows", growthStraight)
	g.growth("growthBranch", "branch into a main that grows", growthBranch)
	g.from("the model's law: midway between Gardel and Idelchik, half their difference as the spread that all joins share", StatusOwn)
	g.formula("NewJoint", "static pressure lost at a join", "takes*vp - sum of brings*vp_leg")
	g.formula("crossed", "term of both flows", "2 - a/2, at 90 degrees 0.225 less")
	g.add("factorFrom", "area ratio from which the factor A sets in (0.35 at once by the source)", factorFrom, "")
	g.add("factorTo", "area ratio from which the factor A holds in full", factorTo, "")
	g.add("growthTaken", "share taken of what Idelchik adds where the main grows", growthTaken, "")
	g.add("mostApart", "largest share that the laws are taken to differ by in what a leg brings", mostApart, "")
	g.from("total pressure is kept at a change of section, apart from its loss", StatusMemory)
	g.formula("exchange", "static pressure lost at a change of section", "vp - vp_leg")
	g.from(acgih+", branch entries (handbook law of the join, and branches into a change of section)", StatusMemory)
	g.table("entryTable", "branch entry", "degrees", entryTable)
	return g.out
}

func leakFacts() []Fact {
	g := &group{name: "leaks"}
	g.from("file formats: flow = 0.61 area sqrt(2 suction / density); sharp-edged hole 0.60 to 0.61", StatusFixed)
	g.add("DischargeCoefficient", "discharge coefficient of a hole", DischargeCoefficient, "")
	g.formula("leakPer", "flow through a hole", "q = 0.61 * area * sqrt(2*suction/rho)")
	g.from("an orifice of the open area, by the file formats' discharge coefficient", StatusOwn)
	g.formula("ShutLoss", "shut gate", "K = (bore/(0.61*area))^2")
	g.from("EN 12237 and SMACNA: leakage grows with pressure to the power of 0.65", StatusQuoted)
	g.formula("leakPer", "background leakage", "q = class * wall area * suction^0.65")
	g.add("LeakageExponent", "exponent of background leakage", LeakageExponent, "")
	g.from("EN 12237: geometric mean of the limits of class A (0.027e-3) and B (0.009e-3)", StatusMemory)
	g.add("LeakageClass", "background leakage of a sound duct, by wall area, at 1 Pa", LeakageClass, "m3/(s m2)")
	g.from("just below the limit of EN 1751's class 2 (0.5 % of the bore); class 1's 2.5 % lies within two standard deviations", StatusOwn)
	g.add("GateShutShare", "open area left by a shut gate, as share of the bore", GateShutShare, "")
	g.from("keeps the law of a hole smooth where there is no suction", StatusOwn)
	g.add("LeakSmooth", "pressure within which leakage is smoothed", LeakSmooth, "Pa")
	return g.out
}

func collectorFacts() []Fact {
	g := &group{name: "collector"}
	g.from("fan laws: flow in proportion to speed, pressure to speed squared and density", StatusQuoted)
	g.formula("At", "fan at another speed and density", "p = rho/rho0 * n^2 * p0(q/n)")
	g.from("F. N. Fritsch, J. Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300–304", StatusMemory)
	g.formula("NewFanCurve", "fan between the points of its curve", "shape-preserving piecewise cubic")
	g.from("file formats", StatusFixed)
	g.formula("exchange", "fan static pressure", "outlet static less inlet total")
	g.formula("collectorLoss", "cyclone", "drop * (q/at)^2 * rho/1.204")
	g.formula("collectorLoss", "filter", "drop * q/at * multiple")
	g.from("no measurement of the pressure at a cyclone's dust outlet was found: nearer to its outlet than to its inlet", StatusOwn)
	g.add("BinShare", "what the bin stands above the air behind the cyclone at rest, share of the cyclone's loss", BinShare, "")
	g.from("a fan without a curve: radial and backward-curved wheels fall so, two-pole motors under load, the efficiency of small fans, inlets sized for conveying", StatusPractice)
	g.formula("power", "fan between its most suction and its most air", "p = p0 * (1 - x^n + b x^2 (1 - x)), x = q/q0")
	g.add("fanPower", "power n of that", fanPower, "")
	g.add("motorTurns", "turns of its motor, two poles at 50 Hz", motorTurns, "1/s")
	g.add("motorTurnsUS", "turns of its motor, two poles at 60 Hz, where units are those of the US", motorTurnsUS, "1/s")
	g.add("wheelSuction", "most suction over density times rim speed squared", wheelSuction, "")
	g.add("motorToAir", "best air power over the power on the nameplate", motorToAir, "")
	g.add("inletAir", "most air over the area of the collector's inlet, where nothing is known of the fan", inletAir, "m/s")
	g.add("inletSuction", "most suction, where nothing is known of the fan", inletSuction, "Pa")
	g.formula("bestOfPower", "best air power of that curve, over most air times most suction", "(n+1)^(-1/n) * n/(n+1)")
	g.from("fan laws: power in proportion to speed cubed and density; a motor's current from its load and its magnetising current", StatusMemory)
	g.formula("MotorLoadAt", "motor's power", "P = Pfull * rho/1.204 * n^3 * (i + (1-i) * q/(n*q0))")
	g.formula("MotorCurrent", "motor's current", "I = Ifull * sqrt(m^2 + (1-m^2) * (P/Pfull)^2)")
	g.from("radial wheels and small induction motors", StatusPractice)
	g.add("IdleShare", "i: power at no flow over that at most air", IdleShare, "")
	g.add("idleCurrent", "m: current of an idle motor over that at full load", idleCurrent, "")
	g.add("motorYield", "efficiency, and power factor, of a motor at full load", motorYield, "")
	g.add("mainsVolts", "mains, where only a rating of power is known", mainsVolts, "V")
	g.from("past the ends of the fan curve, where nothing is given", StatusOwn)
	g.add("fanPastEnd", "least fall past the last point, of the first pressure over the last flow", fanPastEnd, "")
	g.add("fanBackwards", "fall before the first point, as share of that past the last", fanBackwards, "")
	return g.out
}
