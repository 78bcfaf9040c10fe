// Package plant makes up duct systems as a user would write them down: mains that
// taper, sub-branches, drops, hoses, gates, taps, instruments, and a fan to match, sized
// as a fitter would. A system is what its page says; how it really stands, and what is
// wrong with it, is for package trial.
//
// It also has what goes with any such page: the instruments that can be bought, the
// gates that are open as a plant runs, and what a person rounds to. All spreads are our
// own choice, common practice, no source. Everything follows from the seed.
package plant
