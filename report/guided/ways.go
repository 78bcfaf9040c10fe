package guided

import "lostair/diagnose/round"

// wayWords are the ways to read a place otherwise than asked: what it is called, what it
// is, and what is said where it can't be.
var wayWords = [...][3]string{
	round.HoseOff: {"hose off", "the machine is unhooked, and the open end of its duct is read", "There is no hose to unhook here."},
	round.Pitot:   {"pitot", "velocity pressure is read in place of air speed, by a pitot tube in the middle", "No air speed is asked for here."},
}

// Way is what a way is called, and what is done then.
func Way(w round.Way) (name, what string) { return wayWords[w][0], wayWords[w][1] }

// NoWay says that a place can't be read in a way.
func NoWay(w round.Way) string { return wayWords[w][2] }

// WayNamed is the way of a name.
func WayNamed(name string) (round.Way, bool) {
	for _, w := range round.Ways() {
		if wayWords[w][0] == name {
			return w, true
		}
	}
	return 0, false
}
