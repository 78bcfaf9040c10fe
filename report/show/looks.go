package show

import (
	"fmt"

	"lostair/readings"
)

// lookTable holds what is asked at each look, and what the answer shows; %s is
// the place.
var lookTable = map[readings.Look]struct{ ask, shows string }{
	readings.OpensFully: {"Does the gate %s open to its stop, with its slot free of dust?",
		"whether the gate %s opens fully"},
	readings.ShutsFully: {"Does the gate %s shut to its stop, with its slot free of dust?",
		"whether the gate %s shuts fully"},
	readings.Clings: {"With the gate of %s shut and the fan running, does a strip of paper cling to its mouth?",
		"whether the gate %s leaks when shut"},
	readings.Hisses: {"All gates shut and the fan running: does %s hiss, or draw in a strip of paper held along its seams and joins?",
		"whether air gets in at %s"},
	readings.ClearInside: {"Fan off and locked off: is %s clear inside, with no chips, kink, rag or offcut?",
		"whether %s is blocked"},
	readings.Sealed: {"Is the lid of the %s seated all round and its gasket whole?",
		"whether the %s leaks"},
	readings.TurnsRightWay: {"On a short start, does the wheel of the %s turn the way its arrow says?",
		"whether the %s runs backwards"},
	readings.RisesWithDoorOpen: {"Gates open and the fan running: does the suction at the %s rise when a door to the outside is opened?",
		"whether the shop lets in enough air for the fan, read at the %s"},
	readings.InsideDiameter: {"Fan off and locked off: how wide is %s inside, measured straight across?",
		"whether %s is as wide as the system file says"},
	readings.Clean: {"Is the %s clean, neither caked nor overdue?",
		"whether the %s is loaded"},
}

// LookQuestion asks for a look at a place, to be answered yes or no, or by a number.
func LookQuestion(k readings.Look, where string) string {
	return fmt.Sprintf(lookTable[k].ask, placed(k, where))
}

// LookShows says what a look at a place shows.
func LookShows(k readings.Look, where string) string {
	return "shows " + fmt.Sprintf(lookTable[k].shows, placed(k, where))
}

// placed is a place in a sentence: of the collector's parts with their article.
func placed(k readings.Look, where string) string {
	if k == readings.Hisses && where == readings.Bin {
		return "the " + where
	}
	return where
}
