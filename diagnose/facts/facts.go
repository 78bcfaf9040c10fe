package facts

import (
	"fmt"
	"math"

	"lostair/diagnose"
	"lostair/diagnose/airflow"
	"lostair/diagnose/duct"
	"lostair/diagnose/duct/trade"
	"lostair/diagnose/fault"
	"lostair/diagnose/handbook"
	"lostair/diagnose/internal/asbuilt"
	"lostair/diagnose/internal/doubt"
	"lostair/diagnose/internal/fit"
	"lostair/diagnose/internal/indicator"
	"lostair/diagnose/internal/observe"
	"lostair/diagnose/internal/search"
	"lostair/diagnose/internal/story"
	"lostair/diagnose/internal/weigh"
	"lostair/diagnose/next"
	"lostair/diagnose/plan"
	"lostair/diagnose/repair"
	"lostair/diagnose/track"
	"lostair/diagnose/verify"
	"lostair/readings"
	"lostair/readings/units"
)

// Facts lists every number that a diagnosis rests on: those of the flow model,
// the priors, the errors of readings, and the factors of the units. The values
// are the variables that the code computes with; where a number stands inside a
// function, a test holds the two together.
func Facts() []handbook.Fact {
	out := handbook.Facts()
	out = append(out, asBuiltFacts()...)
	out = append(out, faultFacts()...)
	out = append(out, rowFacts()...)
	out = append(out, errorFacts()...)
	out = append(out, answerFacts()...)
	out = append(out, lookFacts()...)
	out = append(out, trackFacts()...)
	out = append(out, traverseFacts()...)
	out = append(out, machineFacts()...)
	return append(out, unitFacts()...)
}

// facts makes facts that share a group, a source and a status.
type facts struct {
	group, source, status string
	out                   []handbook.Fact
}

func practice(group, source string) *facts {
	return &facts{group: group, source: source, status: handbook.StatusPractice}
}

func (f *facts) add(symbol, name string, v float64, unit string) {
	f.out = append(f.out, handbook.Fact{Group: f.group, Name: name, Symbol: symbol, Value: v, Unit: unit, Source: f.source, Status: f.status})
}

func (f *facts) from(source, status string) { f.source, f.status = source, status }

// spreadNames gives the parts that spreads are of, in a fixed order.
var spreadNames = []struct {
	what airflow.What
	name string
}{
	{airflow.Hood, "entry loss of a port"}, {airflow.PlainEnd, "entry loss of an unhooked port"},
	{airflow.Friction, "friction of a duct"}, {airflow.Bends, "bends of a duct"}, {airflow.FreeLoss, "free losses of a duct"},
	{airflow.Section, "change of diameter"}, {airflow.Entry, "what a branch loses at a join, as an amount of K"},
	{airflow.Passage, "what the main loses behind a join, as an amount of K"}, {airflow.Exchange, "momentum brought to a join"},
	{airflow.OpenGate, "open gate"}, {airflow.ShutGate, "open area of a shut gate"}, {airflow.Seepage, "background leakage"},
	{airflow.FanSpeed, "fan speed"}, {airflow.FanPressure, "fan pressure"}, {airflow.CycloneLoss, "cyclone"}, {airflow.FilterLoss, "clean filter"},
	{airflow.FanMostAir, "flow of a given fan curve"}, {airflow.FanShape, "shape of a given fan curve"}, {airflow.FanBend, "bulge of a given fan curve"},
	{airflow.FanTurns, "speed of the fan, where its file doesn't give it"}, {airflow.MotorFull, "electric power at most air"},
	{airflow.MotorIdle, "share of it at no flow"}, {airflow.MotorAmps, "current at most air"},
	{airflow.RoomInlets, "openings through which the shop gets its air"},
	{airflow.BinShare, "pressure in the bin, as an amount of the share"},
}

func asBuiltFacts() []handbook.Fact {
	f := practice("as built", "how far a sound system lies from its page, one standard deviation (of the logarithm, if not an amount)")
	f.add("usualLosses", "uncertainty of losses at which these hold", asbuilt.UsualLosses, "")
	for _, s := range spreadNames {
		sp := asbuilt.Spreads[s.what]
		if sp.Own > 0 {
			f.add("spreads", s.name+", each for itself", sp.Own, "")
		}
		if sp.Family > 0 {
			f.add("spreads", s.name+", all of them together", sp.Family, "")
		}
	}
	f.hoses()
	for i, how := range []string{"", "by its two ends", "by motor and wheel", "by the collector's inlet alone"} {
		if i == 0 {
			continue
		}
		s := asbuilt.FanlessSpreads[i]
		f.add("fanlessSpreads", "most suction of a fan known "+how, s.Suction, "")
		f.add("fanlessSpreads", "most air of a fan known "+how, s.Air, "")
		f.add("fanlessSpreads", "bulge of the curve of a fan known "+how, s.Bend, "")
		f.add("fanlessSpreads", "shape of the curve of a fan known "+how, s.Shape, "")
	}
	f.add("ratedSpeed", "speed of the fan, where its file gives it", asbuilt.RatedSpeed, "")
	f.add("bendPlace", "how far a duct's fittings lie from being spread along it, as a share of what there is to know if each stands in one place", asbuilt.BendPlace, "")
	f.add("filterBuilt", "share of the clean filter's spread that is as built", asbuilt.FilterBuilt, "")
	f.add("filterOfDay", "share of it that is the filter's state on the day", asbuilt.FilterOfDay, "")
	f.add("densityOfDay", "density of the air on the day", asbuilt.DensityOfDay, "")
	f.add("speedOfDay", "fan speed on the day", asbuilt.SpeedOfDay, "")
	return f.out
}

// hoses adds the spreads that hoods and hoses have of their own.
func (f *facts) hoses() {
	source, status := f.source, f.status
	f.from("holds the roughness of newer tables (0.9 mm), two to three times the friction of smooth pipe, and ACGIH's hose with its wires covered", handbook.StatusOwn)
	f.add("hoseFriction", "friction of a hose, each for itself", asbuilt.HoseFriction.Own, "")
	f.add("hoseFriction", "friction of a hose, all of them together", asbuilt.HoseFriction.Family, "")
	f.from("from a draught that hardly matters to a shop whose every gap is sealed", handbook.StatusOwn)
	f.add("ClosedRoom", "openings of a room of which only a look says that they are too small", asbuilt.ClosedRoom.Own, "")
	f.add("ClosedInlets", "their area, over the bore of the collector's inlet", diagnose.ClosedInlets, "")
	f.from("what cyclones and clean filters of dust collectors lose at the air that their inlet is made for, half to twice as much in nine of ten", handbook.StatusPractice)
	f.add("GuessedInletAir", "air in the inlet at which a part of the collector loses what is taken for it, where the file says only that it is there", duct.GuessedInletAir, "m/s")
	f.add("GuessedCyclone", "loss of such a cyclone at that air", duct.GuessedCyclone, "Pa")
	f.add("GuessedFilter", "loss of such a filter at that air, clean", duct.GuessedFilter, "Pa")
	f.add("GuessedDrop", "loss of such a cyclone or filter", asbuilt.GuessedDrop.Own, "")
	f.from("holds what McLoone, Guffey and Curran 1993 measured on twenty tapered hoods, 0.17 to 1.85", handbook.StatusOwn)
	f.add("taperedSpread", "entry loss of a tapered hood without an angle", trade.HoodSpread("tapered", 0), "")
	f.add("chartSpread", "entry loss of a tapered hood by its angle", trade.HoodSpread("tapered", 1), "")
	f.from(source, status)
}

func faultFacts() []handbook.Fact {
	f := practice("faults", "how many faults a measured system has, and of which kind")
	f.add("expectedFaults", "faults that a measured system is expected to have", fault.ExpectedFaults, "")
	f.from("own choice. Field lists of complaints, which count dirty filters that a look finds, have filters 0.33, blockages 0.25, leaks 0.2, gates 0.13, fans 0.08; what follows from other shares stands in package fault", handbook.StatusOwn)
	for _, k := range fault.SearchedKinds() {
		f.add("kindShare", "share of these: "+k.String(), fault.KindShare[k], "")
	}
	f.from("how many troubles are on no list; what follows from another prior stands in package fault", handbook.StatusOwn)
	f.add("unlistedPrior", "probability of something that is no kind on the list", doubt.UnlistedPrior, "")
	f.misgiven()
	f.from("hoses are trodden on, torn and clogged, a main seldom is", handbook.StatusPractice)
	f.add("hoseWeight", "a hose against a plain duct", fault.HoseWeight, "")
	f.add("mainWeight", "a main with joins against a plain duct", fault.MainWeight, "")
	f.add("binWeight", "a leak of the bin against one of a duct", fault.BinWeight, "")
	f.add("likeliestOne", "the most that one place can have", fault.LikeliestOne, "")
	f.from("where a duct leaks", handbook.StatusPractice)
	f.add("alongDuct", "along the duct", fault.AlongDuct, "")
	f.add("atJoin", "at the join downstream", fault.AtJoin, "")
	f.installs()
	f.from("how bad a fault is that someone goes and measures: middle, and one standard deviation of its logarithm or log odds", handbook.StatusPractice)
	for _, s := range []struct {
		k    fault.Kind
		name string
		of   func(float64) float64
	}{
		{fault.Leak, "leak, share of the most that can be open", fault.Logistic}, {fault.Blockage, "blockage, share closed", fault.Logistic},
		{fault.GateRestricted, "gate-restricted, share of travel open", fault.Logistic}, {fault.GateLeaking, "gate-leaking, share of the most that can be open", math.Exp},
		{fault.FilterLoaded, "filter-loaded, multiple less one", math.Exp}, {fault.FanWeak, "fan-weak, share of speed lost", fault.Logistic},
	} {
		f.add("severities", s.name+", middle", s.of(fault.Severities[s.k].Mean), "")
		f.add("severities", s.name+", spread", fault.Severities[s.k].Sd, "")
	}
	f.add("SeamDiameter", "diameter up to which the whole bore may be open; of a larger part, as much for each metre around it", fault.SeamDiameter, "m")
	f.add("MattersFrom", "share of a port's air from which a fault matters", weigh.MattersFrom, "")
	f.add("SpokenFor", "times as probable with a fault as without it, from which the readings speak for it", weigh.SpokenFor, "")
	f.add("LidDiameter", "widest lid or outlet of a dust bin", fault.LidDiameter, "m")
	return f.out
}

// installs adds what is expected to be wrong in a system just built.
func (f *facts) installs() {
	f.from("what is expected where nobody complains", handbook.StatusOwn)
	f.add("checkedFaults", "faults of a system that is checked", fault.CheckedFaults, "")
	f.from("what is expected of a new install", handbook.StatusPractice)
	f.add("newFaults", "faults of a new install", fault.NewFaults, "")
	for _, k := range fault.SearchedKinds() {
		f.add("newShare", "share of these: "+k.String(), fault.NewShare[k], "")
	}
	f.add("newAltered", "ducts that lose more or less than by the system file", fault.NewAltered, "")
	f.add("newLess", "share of these that lose less", fault.NewLess, "")
	f.add("newAdded", "what one more bend or some metres lose, middle", fault.NewAdded, "")
	f.add("newSpread", "of its logarithm, one sigma", fault.NewSpread, "")
	f.add("newAtPlace", "share of what loses more that does so at one place", fault.NewAtPlace, "")
	f.add("newSizePrior", "probability that one duct is of another size than the system file says", doubt.NewSizePrior, "")
	f.add("sizeStep", "by how much sizes next to one another differ, of the logarithm", doubt.SizeStep, "")
}

func rowFacts() []handbook.Fact {
	f := practice("wrong rows", "how often a row of readings is mistaken, and in which way")
	f.from("own choice; those who measure name 2 to 3 gross errors in 100 single readings. At twice this prior no first answer changed (package fault)", handbook.StatusOwn)
	f.add("rowWrong", "probability that a row is wrong", search.RowWrong, "")
	f.from("how often a row of readings is mistaken, and in which way", handbook.StatusPractice)
	for i, k := range search.SpreadFactors {
		f.add("spreadFactors", fmt.Sprintf("factor %d on all as-built spreads", i+1), k.By, "")
		f.add("spreadFactors", fmt.Sprintf("log weight of that factor %d", i+1), k.Prior, "")
	}
	for i, k := range search.FreshFactors {
		f.add("freshFactors", fmt.Sprintf("factor %d on all fresh errors", i+1), k.By, "")
		f.add("freshFactors", fmt.Sprintf("log weight of that factor %d", i+1), k.Prior, "")
	}
	f.add("rowsWrong", "wrong rows expected in a survey", search.RowsWrong, "")
	f.add("shareUnit", "share of these: another unit, or the decimal point slipped", search.ShareUnit, "")
	f.add("shareSign", "share of these: the sign", search.ShareSign, "")
	f.add("shareDig", "share of these: two digits swapped", search.ShareDig, "")
	f.add("shareGate", "share of these: other gates open than written", search.ShareGate, "")
	f.add("sharePoint", "share of these: a neighbour's tap or port", search.SharePoint, "")
	f.add("shareTotal", "share of these: total pressure for static", search.ShareTotal, "")
	f.add("shareDrop", "share of these: anything else", search.ShareDrop, "")
	f.from("a row that may be anything: a flat density over its size and its standard deviation", handbook.StatusOwn)
	f.add("droppedOfValue", "density of a wrong row: times its size", search.DroppedOfValue, "")
	f.add("droppedOfSd", "density of a wrong row: times its standard deviation", search.DroppedOfSd, "")
	f.from("an idea that was screened and not fitted promises more than it holds", handbook.StatusOwn)
	f.add("screenedLess", "how much less it counts", weigh.ScreenedLess, "nats")
	f.add("screenedMost", "how far below the best it counts at most", weigh.ScreenedMost, "nats")
	f.add("restMatters", "how likely it is that such an idea matters", next.RestMatters, "")
	f.add("unseen", "share of all probability left to what had not been looked at when the work was stopped", diagnose.Unseen, "")
	f.add("leastSound", "weight that a sound system keeps in foretelling", next.LeastSound, "")
	return f.out
}

func errorFacts() []handbook.Fact {
	f := practice("errors", "a tap with a burr or off its place; a profile behind a bend")
	f.add("longRadius", "radius of an easy bend, diameters", diagnose.LongRadius, "")
	f.add("tapError", "static pressure at a tap, share of velocity pressure, one sigma", asbuilt.TapError, "")
	f.add("profileError", "velocity on the axis, share, one sigma", asbuilt.ProfileError, "")
	f.add("profileAtPort", "times that at a port, where it is anything from flat to developed", asbuilt.ProfileAtPort, "")
	f.from("a water manometer read to 2 mm, and a hand-held vane anemometer, when the survey names no instrument", handbook.StatusPractice)
	f.add("anyManometer", "any manometer, 95 % of reading", observe.AnyManometer.OfReading, "")
	f.add("anyManometer", "any manometer, 95 % at least", observe.AnyManometer.Floor, "Pa")
	f.add("anyAnemometer", "any anemometer, 95 % of reading", observe.AnyAnemometer.OfReading, "")
	f.add("anyAnemometer", "any anemometer, 95 % at least", observe.AnyAnemometer.Floor, "m/s")
	f.from("a tachometer, a clamp meter and a plug-in power meter, when the survey names no instrument", handbook.StatusPractice)
	f.add("anyTachometer", "any tachometer, 95 % of reading", observe.AnyTachometer.OfReading, "")
	f.add("anyTachometer", "any tachometer, 95 % at least", observe.AnyTachometer.Floor, "1/s")
	f.add("anyClampMeter", "any clamp meter, 95 % of reading", observe.AnyClampMeter.OfReading, "")
	f.add("anyClampMeter", "any clamp meter, 95 % at least", observe.AnyClampMeter.Floor, "A")
	f.add("anyPowerMeter", "any power meter, 95 % of reading", observe.AnyPowerMeter.OfReading, "")
	f.add("anyPowerMeter", "any power meter, 95 % at least", observe.AnyPowerMeter.Floor, "W")
	f.from("97.5 % point of the normal distribution", handbook.StatusMemory)
	f.add("normal95", "95 % limits over one sigma", observe.Normal95, "")
	f.from("what the model itself may be off from reading to reading", handbook.StatusOwn)
	f.add("modelError", "share of a reading, one sigma", fit.ModelError, "")
	f.add("unlistedSpread", "factor on all spreads if the trouble is no kind on the list", 3, "")
	return f.out
}

// misgiven adds how likely it is that what was given is wrong as a whole.
func (f *facts) misgiven() {
	f.from("how likely it is that what was given is wrong as a whole", handbook.StatusPractice)
	f.add("strangePrior", "probability that the readings are not of this system or not to be believed, twice, for either spread", search.StrangePrior, "")
	f.add("anotherPrior", "probability that the baseline is of another system", doubt.AnotherPrior, "")
	f.add("gatesPrior", "probability that the gates stood otherwise than written through one configuration, or that an open branch is not in the system file", doubt.GatesPrior, "")
	f.add("unitsPrior", "probability that all values of one dimension are in another unit than written, or of the other sign", doubt.UnitsPrior, "")
	f.add("anyFactor", "how likely, beside that, a factor is that no unit explains", doubt.AnyFactor, "")
	f.add("gaugePrior", "probability that one instrument reads far off all along", doubt.GaugePrior, "")
	f.add("gaugeOff", "by how much it then does, as a share, one sigma", doubt.GaugeOff, "")
	f.add("stillPrior", "probability that no air moved while the readings were taken", doubt.StillPrior, "")
	f.add("emptyPrior", "probability that nothing was read, if every value is zero where the system file expects much", doubt.EmptyPrior, "")
	f.add("farFromZero", "how much that is, in sigmas of the instrument at zero", doubt.FarFromZero, "")
	f.add("alwaysPrior", "probability that one gate stood otherwise than written in every setting", doubt.AlwaysPrior, "")
	f.add("offsetPrior", "probability that a manometer's zero was off all along", doubt.OffsetPrior, "")
	f.add("offsetSpread", "by how much it then is, one sigma", doubt.OffsetSpread, "Pa")
	f.add("swapPrior", "probability that two taps were taken for one another", doubt.SwapPrior, "")
	f.add("fanPrior", "probability that the system file has another fan's curve", doubt.FanPrior, "")
	f.add("fanSpread", "by how much its pressure is then off, as a share, one sigma", doubt.FanSpread, "")
	f.add("seasonPrior", "probability that a baseline was taken in another season's air, where not both surveys tell the air", doubt.SeasonPrior, "")
	f.add("seasonSpread", "by how much its density is then another, as a share, one sigma", doubt.SeasonSpread, "")
	f.add("lengthPrior", "probability that one length in the system file is far off", doubt.LengthPrior, "")
	for _, v := range doubt.LengthRatios {
		f.add("lengthRatios", fmt.Sprintf("how many times its length by the system file a duct may be: %.3g", v), v, "")
	}
	f.add("branchPrior", "probability that an open branch joins that the system file lacks", doubt.BranchPrior, "")
	f.add("faultyPrior", "probability that a baseline was taken with a fault in it", weigh.FaultyPrior, "")
	f.add("stillThere", "probability that the fault is then there still", weigh.StillThere, "")
	f.add("copiedSure", "how sure it is that a baseline with all values of the survey is a copy of it", diagnose.CopiedSure, "")
	f.add("diameterPrior", "probability that one diameter in the system file is wrong", doubt.DiameterPrior, "")
	for _, v := range doubt.StrangeSpreads {
		f.add("strangeSpreads", fmt.Sprintf("factor on fresh errors of readings not to be believed: %.0f", v), v, "")
	}
	for _, v := range doubt.MetricSizes {
		f.add("metricSizes", fmt.Sprintf("a diameter that ducts are sold in: %.4g mm", 1000*v), v, "m")
	}
	for _, v := range doubt.InchSizes {
		f.add("inchSizes", fmt.Sprintf("a diameter that ducts are sold in: %.4g in", v/0.0254), v, "m")
	}
	f.add("repeatsBelieved", "repeats that count as independent of one another", observe.RepeatsBelieved, "")
}

func answerFacts() []handbook.Fact {
	f := practice("answers", "what the published loss of a gate or restriction may be off from the one in the duct")
	f.add("lawSpread", "severity of a blockage, of the logarithm of its loss, one sigma", fault.LawSpread, "")
	f.from("blades with a round and with a straight edge differ by a factor of two at half travel and three at a quarter", handbook.StatusOwn)
	f.add("gateLawSpread", "severity of a half-closed gate, of the logarithm of its loss, one sigma", fault.GateLawSpread, "")
	f.from("what the law of joins may be off", handbook.StatusPractice)
	f.add("airForm", "most air of a fan without a curve, one sigma", diagnose.AirForm, "")
	f.add("suctionForm", "most suction of a fan without a curve, one sigma", diagnose.SuctionForm, "")
	f.add("joinForm", "flow of a port while others draw too, one sigma", diagnose.JoinForm, "")
	f.from("95 % point of the normal distribution", handbook.StatusMemory)
	f.add("wouldFit", "90 % interval over one sigma", 1.645, "")
	f.from("H. Darcy, J. Weisbach, with the same friction factor", handbook.StatusMemory)
	f.add("widerPower", "power of the diameter with which flow goes at a given gradient", weigh.WiderPower, "")
	f.from("how well a diameter that would do is known", handbook.StatusPractice)
	f.add("widerForm", "what the model may be off in what a wider duct gives, share of flow", weigh.WiderForm, "")
	f.add("tooSmall", "gain of a wider duct, low end", 0.95, "")
	f.from("how long a reading takes", handbook.StatusPractice)
	f.add("weakFrom", "share of a weak port's air from which a typical fault counts in full for a plan", plan.WeakFrom, "")
	f.add("weakElse", "share of its prior that any other fault keeps in that plan", plan.WeakElse, "")
	f.add("minutesTap", "at a tap", plan.MinutesTap, "min")
	f.add("minutesMouth", "at a port's mouth", plan.MinutesMouth, "min")
	f.add("minutesHole", "at a new hole", plan.MinutesHole, "min")
	f.add("minutesUnhook", "to unhook a machine, on top", plan.MinutesUnhook, "min")
	return f.out
}

// lookFacts are what a look costs and how far it can be trusted.
func lookFacts() []handbook.Fact {
	f := practice("looks", "what a look costs and how far it can be trusted: one answer in twenty is wrong")
	for _, r := range observe.LookRates {
		name := string(r.Look)
		f.add("lookRates", name+": it takes", r.Minutes, "min")
		f.add("lookRates", name+": chance to show "+r.Kind.String()+" if it is there", r.Sees, "")
		f.add("lookRates", name+": chance to show one that is not there", r.Mistake, "")
	}
	f.from("how well a duct is measured across", handbook.StatusPractice)
	f.add("boreSame", "off its page and as written, as a share, at most", observe.BoreSame, "")
	f.add("boreFar", "times its page or less than that part of it: not measured across", observe.BoreFar, "")
	f.add("boreSure", "chance that one of another size is of that size", diagnose.BoreSure, "")
	f.add("boreSpread", "how far off the measure may be, as a share, in nine of ten", diagnose.BoreSpread, "")
	f.add("minutesBore", "to measure across a duct", next.MinutesBore, "min")
	f.from("how likely a look taken twice is wrong the same way", handbook.StatusPractice)
	f.add("againWorth", "what a look taken again tells, beside the time before", observe.AgainWorth, "")
	f.from("what it takes to come to a reading, and what a wrong first repair costs", handbook.StatusPractice)
	f.add("minutesGates", "to set the gates anew", plan.MinutesGates, "min")
	f.add("minutesWalk", "to walk to another place", next.MinutesWalk, "min")
	f.add("wrongFirst", "the wrong thing done first", next.WrongFirst, "min")
	f.add("bitsWorth", "a bit, beside what it changes at once", next.BitsWorth, "min")
	return f.out
}

// trackFacts are what surveys over time are looked at with.
func trackFacts() []handbook.Fact {
	f := practice("over time", "how far a change lies within the usual, one standard deviation")
	f.add("leakChange", "leak of a zone, share of the bore", indicator.LeakChange, "")
	f.add("obstructChange", "obstruction of a port, K", indicator.ObstructChange, "")
	f.add("filterChange", "filter, share of its drop", indicator.FilterChange, "")
	f.add("fanChange", "fan speed, of the logarithm", indicator.FanChange, "")
	f.from("what a sound filter varies by from day to day", handbook.StatusPractice)
	f.from("surveys over time are not all read alike", handbook.StatusPractice)
	f.add("lastingLeft", "share of the error that surveys have in common that is left in their differences", track.LastingLeft, "")
	f.add("moreFlow", "share of flow that counts as more", repair.MoreFlow, "")
	f.from("what a system must bear", handbook.StatusPractice)
	f.add("usualFilter", "multiple of the clean filter's drop, if none is demanded", verify.UsualFilter, "")
	f.from("how far a reading may lie off what all others say", handbook.StatusPractice)
	f.add("oddLimit", "standard deviations", indicator.OddLimit, "")
	f.from("own choice, checked on histories made by another model: how often things break and are mended", handbook.StatusPractice)
	f.add("breaks", "that anything at all breaks from one survey to the next", story.Breaks, "")
	f.add("mends", "that what is broken is gone at the next survey", story.Mends, "")
	f.add("partly", "that it is mended in part, or becomes much worse at once", story.Partly, "")
	f.add("leaps", "standard deviation of such a leap, in the severity's z", story.Leaps, "")
	f.add("sameEpisode", "share of an episode's chance at places of a stronger one from which the two are one", story.SameEpisode, "")
	f.add("alikeErrors", "share of what tells two places apart that is an error of the model, the same in every survey", story.AlikeErrors, "")
	f.add("remains", "share of what an episode explains up to which one that began with it is what the model leaves of it", story.Remains, "")
	f.from("own choice: how much a duct's losses change between a baseline and a survey", handbook.StatusPractice)
	f.add("alteredExpected", "ducts whose losses have changed, expected in a system", fault.AlteredExpected, "")
	f.add("alteredLess", "share of them that lose less", fault.AlteredLess, "")
	f.add("alteredLeast", "share of its losses that a duct keeps at least", fault.AlteredLeast, "")
	f.add("losesMore", "times the losses that were, of one that loses more", math.Exp(fault.LosesMore.Mean), "")
	f.add("losesMore", "spread of its logarithm", fault.LosesMore.Sd, "")
	f.add("losesLess", "times the losses that were, of one that loses less", math.Exp(fault.LosesLess.Mean), "")
	f.add("losesLess", "spread of its logarithm, of less", fault.LosesLess.Sd, "")
	f.add("filterChanged", "that the filter is in another state than it was", fault.FilterChanged, "")
	f.add("filterLosesMore", "times what it dropped then, of one that drops more", math.Exp(fault.FilterLosesMore.Mean), "")
	f.add("filterLosesMore", "spread of its logarithm, of more", fault.FilterLosesMore.Sd, "")
	f.add("filterLosesLess", "times what it dropped then, of one that drops less", math.Exp(fault.FilterLosesLess.Mean), "")
	f.add("filterLosesLess", "spread of its logarithm, of less", fault.FilterLosesLess.Sd, "")
	f.from("own choice: what stops the air altogether, where a port is read without any", handbook.StatusPractice)
	f.add("plugged", "share of blockages, and of gates that don't open, that do", fault.Plugged, "")
	f.add("plugPrior", "share closed of a plug, middle", fault.Logistic(fault.PlugPrior.Mean), "")
	f.add("plugPrior", "spread of its log odds", fault.PlugPrior.Sd, "")
	f.add("offRod", "share of its travel open of a gate off its rod, middle", fault.Logistic(fault.OffRod.Mean), "")
	f.add("offRod", "spread of its log odds", fault.OffRod.Sd, "")
	f.from("how charts over time are drawn", handbook.StatusPractice)
	f.add("chartWeight", "weight of the newest value (EWMA)", track.ChartWeight, "")
	f.add("chartSlack", "slack of the cumulated sum, standard deviations", track.ChartSlack, "")
	f.add("falseYear", "false signals that a sound system may give in a year, share", track.FalseYear, "")
	f.add("scaleMemory", "values that the scatter is learned from", track.ScaleMemory, "")
	f.add("farStep", "a step at once, standard deviations", track.FarStep, "")
	f.add("farFilterStep", "a step of the filter at once, standard deviations", track.FarFilterStep, "")
	f.add("placeSpread", "what the place in its zone changes of a leak's area, share, 90 %", track.PlaceSpread, "")
	f.from("how well it is known when a limit is reached", handbook.StatusPractice)
	f.add("paceSpread", "of the time ahead, logarithm", track.PaceSpread, "")
	f.add("limitSpread", "of the limit, share", track.LimitSpread, "")
	f.from("what happens between a survey and the next, expected number of faults", handbook.StatusPractice)
	f.add("repairWorked", "mended by a repair", repair.RepairWorked, "")
	f.add("repairPartly", "of those, only less bad, share", repair.RepairPartly, "")
	f.add("repairAimed", "of those, at the place said to be mended, share", repair.RepairAimed, "")
	f.add("filterOften", "how much more often a filter is mended than fails", repair.FilterOften, "")
	f.add("repairAside", "come up meanwhile", repair.RepairAside, "")
	f.add("repairLeft", "there before and after", repair.RepairLeft, "")
	f.add("ratioForm", "what the model may be off in a ratio of two flows, share", repair.RatioForm, "")
	f.from("when an install passes", handbook.StatusPractice)
	f.add("decidedAt", "probability at which a line is decided", verify.DecidedAt, "")
	f.add("usualTolerance", "pressure or flow off design, share", verify.UsualTolerance, "")
	f.add("usualConvey", "slowest air where the system file gives none", handbook.UsualConvey, "m/s")
	f.add("usualConveyUS", "the same in a US file, 4000 fpm", handbook.UsualConveyUS, "m/s")
	f.add("ownForm", "what the model may be off in a velocity, share", verify.OwnForm, "")
	return f.out
}

// traverseFacts are the positions of a log-linear traverse; those of equal
// areas are a formula.
func traverseFacts() []handbook.Fact {
	f := &facts{group: "traverse"}
	f.from("ISO 3966 type, log-linear rule", handbook.StatusMemory)
	for _, n := range []int{6, 10} {
		x, err := readings.TraversePositions(readings.LogLinear, n, 1)
		if err != nil {
			continue
		}
		for i, v := range x[:n/2] {
			f.add("logLinear", fmt.Sprintf("position %d of %d, from the wall, over the diameter", i+1, n), math.Round(v*1e5)/1e5, "")
		}
	}
	f.from("40 CFR 60 App. A-1 Method 1, table 1-2 follows from it", handbook.StatusMemory)
	f.out = append(f.out, handbook.Fact{Group: "traverse", Name: "position of equal area", Symbol: "equalArea", Formula: "r = R sqrt((2i - 1)/n)", Source: f.source, Status: f.status})
	return f.out
}

// machineFacts are what machines usually need, which is offered and never applied.
func machineFacts() []handbook.Fact {
	f := &facts{group: "machines"}
	for _, u := range trade.Usuals() {
		f.from(u.Source, u.Status)
		name := u.Kind
		if u.To > 0 {
			name += ", " + u.Sizes(units.US)
		}
		f.add("usuals", name+": usual need, low end", math.Round(units.Flow.FromSI(units.US, u.Low)), "cfm")
		if u.High > u.Low {
			f.add("usuals", name+": usual need, high end", math.Round(units.Flow.FromSI(units.US, u.High)), "cfm")
		}
	}
	f.from("practice takes about one; three machine manuals ask for 550, 900 and 1,200 Pa at 20 m/s, which leaves 1.3 to 4.0 to the hood", handbook.StatusPractice)
	f.add("usuals", "a woodworking machine's own hood, low end", trade.Usuals()[0].HoodLow, "")
	f.add("usuals", "a woodworking machine's own hood, high end", trade.Usuals()[0].HoodHigh, "")
	return f.out
}

// unitFacts are what one of each unit is in SI.
func unitFacts() []handbook.Fact {
	f := &facts{group: "units", source: "NIST Special Publication 811 (2008), appendix B", status: handbook.StatusMemory}
	for d := units.Diameter; d <= units.Area; d++ {
		if d == units.Temperature || d == units.Length {
			continue // an offset; the same as diameter
		}
		for _, s := range units.Symbols(d) {
			if v, err := units.Parse("1 "+s, d, units.Metric); err == nil {
				f.add("dimensions", "1 "+s, v.SI, siOf[d])
			}
		}
	}
	return f.out
}

var siOf = map[units.Dimension]string{units.Diameter: "m", units.Flow: "m3/s", units.Pressure: "Pa", units.Velocity: "m/s", units.Density: "kg/m3", units.Area: "m2"}
