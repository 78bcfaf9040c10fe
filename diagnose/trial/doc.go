// Package trial makes up plants and surveys of which the truth is known, for
// tests and benchmarks on any number of cases.
//
//  1. Package plant draws a duct system: mains that taper, sub-branches, drops, hoses,
//     gates, taps, a fan to match. It is what a user would write down.
//  2. NewCase builds it as a shop would have it, every loss, leak, gate and
//     instrument somewhat off the page, breaks it, and takes a survey of it, of the
//     readings that package survey draws.
//  3. Truth says what is wrong; package score compares any number of answers with it,
//     and writes cases as folders of files.
//  4. Read takes a further reading of the same plant, for whoever follows a
//     proposal for the next reading; NewHistory and NewStory take surveys over months,
//     and NewInstall takes one of a plant just built, otherwise than by its page.
//
// The plant that is measured is not the model that diagnoses: its ducts are
// cut where the fault is, its bends stand in one place instead of being spread
// over the duct, taps are not quite where they should be and read somewhat
// wrong, its air is another day's, its join law may be the other one, and the
// spreads here are not the diagnosis's priors. The shapes of friction, leaks
// and gates it shares with packages airflow and handbook.
//
// All spreads in this package are our own choice, common practice, no source.
// Everything follows from the seed: the same seed gives the same bytes.
package trial
