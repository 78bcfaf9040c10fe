package show

import (
	"fmt"
	"strings"

	"lostair/diagnose"
	"lostair/diagnose/fault"
	"lostair/readings"
)

// SlipWords say how a row came to be wrong; "" of no slip.
func SlipWords(s fault.Slip) string {
	var text string
	switch s.Kind {
	case fault.SlipUnit:
		text = fmt.Sprintf("the number is in %s, not in %s", s.Really, s.Unit)
	case fault.SlipConverted:
		text = fmt.Sprintf("the value was converted from %s to %s once too often", s.Really, s.Unit)
	case fault.SlipPoint:
		return "the decimal point slipped one place"
	case fault.SlipSign:
		text = "the sign is the wrong way round"
	case fault.SlipDigits:
		text = "two digits are swapped"
	case fault.SlipGates:
		text = fmt.Sprintf("it was read with other gates open: %s fits", s.Open)
	case fault.SlipPlace:
		text = fmt.Sprintf("it was read at %s", s.At)
	case fault.SlipTotal:
		text = "it is the total pressure, not the static one"
	case fault.SlipUnknown:
		text = "it fits nothing else that was read"
	case fault.SlipUnexplained:
		text = "nothing of the system file explains it"
	}
	if s.OrPoint {
		text += ", or " + SlipWords(fault.Slip{Kind: fault.SlipPoint})
	}
	return text
}

// DoubtWords say what weakens a result, and what would help.
func DoubtWords(d fault.Doubt) string {
	switch d.Kind {
	case fault.FewReadings:
		few := fmt.Sprintf("Only %d readings", d.Count)
		if d.Count == 1 {
			few = "Only one reading"
		}
		return few + ": most faults can't be seen. Read the suction in each drop with its gate alone open; drill a tap where there is none."
	case fault.NoBaseline:
		return "No earlier sound survey was given, so the losses of the system file stand in for it; a survey kept from a good day sharpens every answer (--baseline)."
	case fault.LooseFit:
		return "Even the best explanation leaves readings further off than their instruments allow: check diameters, lengths and gates in the system file against the shop."
	case fault.OffTheList:
		return fmt.Sprintf("There is a %.0f %% chance of something that is not on the list of faults, a wrong system file among it.", 100*d.Share)
	case fault.HugeHole:
		return fmt.Sprintf("A hole as large as that at %s is hard to overlook: look whether an open branch joins there that the system file lacks, or a hose has come off.", d.Where)
	case fault.RowLeftOut:
		return fmt.Sprintf("Row %d was left out, since %s; take it again.", d.Count, SlipWords(d.Slip))
	case fault.NothingToRead:
		return "No fault stands out, and no single further reading would settle it: take those furthest from a sound system again, with another instrument if there is one."
	case fault.RoomClosed:
		return "The suction rises with a door open: the shop lets in too little air and holds its fan back. How much is left to the readings, so a fan that seems slow may be sound. Leave a door open and read again; if that cures it, let air in, or write room: {inlets: AREA} in the system file."
	case fault.RoomOpen:
		return "The suction does not rise with a door open, and yet the system file's room lets in little air: check room: inlets, or whether the door was the only way in."
	case fault.BoreOther:
		return fmt.Sprintf("%s measures another width than the system file says, and is taken to be as it measures: correct its diameter there.", d.Where)
	case fault.Unsettled:
		return "The best explanation was still moving when the search for it stopped; take its figures as rough."
	case fault.PortsLeftOut:
		return fmt.Sprintf("So large a plant is not asked everywhere what is too small by design: %d ports without a reading were left out. Read at one to have it looked at.", d.Count)
	case fault.StoppedEarly:
		return "The work was stopped before its end, so half of the chance is left to what had not been looked at, and nothing is asserted."
	case fault.FitNothing:
		return "The readings fit neither one another nor the system file: check that both are of the same system, the gates in the column open, and the units."
	case fault.GatesDiffer:
		return "What was read with " + openWords(d.Open) + " does not go with the rest: check which gates stood open then, and whether a branch joins that the system file lacks."
	case fault.AllZero:
		return "Every value is zero, as instruments show when no air moves or when they aren't connected: the readings hold nothing. Check that the fan ran, that the taps were open into the duct, and that the instruments were connected and switched on."
	case fault.NoAirReading:
		return "The readings are about what these instruments show when no air moves: check that the fan ran, and that they were connected."
	case fault.ShortHistory:
		return fmt.Sprintf("The history is short: %s after those of the reference. A step is seen in one or two of them, a slow drift in ten or so; lostair diagnose --baseline says what one survey alone can.", Plural(d.Count, "survey"))
	case fault.FewReference:
		stand := "Only one of the surveys stands"
		if d.Count > 1 {
			stand = fmt.Sprintf("Only %d of the surveys stand", d.Count)
		}
		return stand + " for the sound system, so a change must be large to be seen. Three to eight good ones from the first weeks make sharp limits (--reference, --baseline)."
	case fault.SurveysMisfit:
		if d.Count == 1 {
			return fmt.Sprintf("One of the surveys, %s, lies further off than its instruments allow: have ducts been changed since the system file was written?", d.File)
		}
		return fmt.Sprintf("%d of the surveys lie further off than their instruments allow, %s first: have ducts been changed since the system file was written?", d.Count, d.File)
	}
	return filesWords(d)
}

// filesWords are of doubts about the files that were given.
func filesWords(d fault.Doubt) string {
	switch d.Kind {
	case fault.BaselineZero:
		return fmt.Sprintf("The baseline %s holds nothing but zeros and was left out: give a survey from when the system was sound.", d.File)
	case fault.BaselineCopied:
		return fmt.Sprintf("The baseline %s holds these same readings, value for value, and was left out: give a survey from when the system was sound.", d.File)
	case fault.BaselineLater:
		return fmt.Sprintf("The baseline %s is dated after this survey: check that it shows the system when it was sound.", d.File)
	case fault.BaselineAnother:
		return "The readings are those of a system that is sound, but not the one of the baseline: check that it is of this system and that nothing was rebuilt since."
	case fault.SurveyTwice:
		return d.File + " was given more than once; it counts once."
	case fault.SurveyCopied:
		return fmt.Sprintf("%s holds the same readings as %s; they count once.", d.File, d.Other)
	case fault.WeakLeftOut:
		return fmt.Sprintf("%s was begun with a complaint (%s), so it can't stand for the sound system; none that can comes before it, so it was left out. To follow it too, give a sound survey with --baseline.", d.File, d.Other)
	case fault.WeakReference:
		return fmt.Sprintf("%s was begun with a complaint (%s), yet stands for the sound system, as you asked: what was wrong then does not show.", d.File, d.Other)
	case fault.MendedReference:
		return fmt.Sprintf("%s stands for the sound system, and the log has a repair of %s, before the next survey. If something was wrong when it was read, give a sound survey with --baseline.", d.File, d.Other)
	case fault.SurveyZero:
		return d.File + " holds nothing but zeros and was left out: was the fan off, or nothing connected?"
	}
	return ""
}

// openWords are gates as a survey's column has them, in words.
func openWords(open string) string {
	o, err := readings.ParseOpen(open)
	if err != nil {
		return open
	}
	return readings.OpenWords(o)
}

// fragileShown is how many priors are named.
const fragileShown = 2

// FragileWords say by which priors the first answer changes; "" if it stays what it is.
func FragileWords(list []diagnose.Fragile) string {
	if len(list) == 0 {
		return ""
	}
	var parts []string
	for i, x := range list {
		if i == fragileShown {
			parts = append(parts, fmt.Sprintf("and %d more", len(list)-i))
			break
		}
		how := "half"
		if x.By > 1 {
			how = "twice"
		}
		then := "nothing would be clear"
		if x.Then != nil {
			then = Named(x.Then.Kind, x.Then.Where) + " would come first"
		}
		parts = append(parts, fmt.Sprintf("if %s were %s as common, %s", priorWords(x), how, then))
	}
	return "The first answer is fragile, since it hangs on how common faults are taken to be: " + strings.Join(parts, "; ") + "."
}

func priorWords(x diagnose.Fragile) string {
	switch x.Prior {
	case diagnose.OfAllKinds:
		return "faults of every kind"
	case diagnose.OfRows:
		return "wrong rows"
	case diagnose.OfUnlisted:
		return "troubles on no list"
	}
	return KindWords(x.Kind).Many
}
