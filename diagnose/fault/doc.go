// Package fault holds the kinds of fault, the places where each can sit, its
// prior probability and severity, and how it changes the flow model.
//
// A Site is a kind at a place; its Variants are the ways in which the fault can
// act there (a leak at one piece of a duct or another). A severity is a number z
// on the real line with a normal prior; Variant turns it into the coefficient
// that it changes, and into the amount that a person reads (m², a share of the
// bore, a multiple). Amounts are SI.
package fault
