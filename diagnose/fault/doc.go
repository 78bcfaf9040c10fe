// Package fault holds the kinds of fault, the places where each can sit, its
// prior probability and severity, and how it changes the flow model.
//
// A Site is a kind at a place; its Variants are the ways in which the fault can
// act there (a leak at one piece of a duct or another). A severity is a number z
// on the real line with a normal prior; Variant turns it into the coefficient
// that it changes, and into the amount that a person reads (m², a share of the
// bore, a multiple). Amounts are SI.
//
// How common each kind is (KindShare, ExpectedFaults) is our own choice; field
// lists differ by up to four times. How far an answer hangs on it: of 80 cases of
// our own making (package trial; 3 to 8 ports, surveys of every style) the first
// answer changes, with a prior at half and at twice its value, in
//
//	                        ×½   ×2
//	leak                     0    0
//	blockage                 0    0
//	gate-restricted          0    0
//	gate-leaking             0    0
//	filter-loaded            0    0
//	fan-weak                 0    1
//	faults of every kind     1    1
//	wrong rows               0    0
//	troubles on no list      0    0
//
// and two of the 80 say themselves that they are fragile. LOSTAIR_CASES=80 go test
// ./diagnose -run TestSensitivityToPriors -v makes the table.
package fault
