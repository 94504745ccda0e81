// Package setup works out the set-up sheet: where nut and saddle hold each
// string, from gaps measured over the crowns, and what to take off each slot and
// the saddle so that the strings lie as wanted; how sure that is, and where to stop
// short. Where the saddle runs out it works out the neck's angle (angle.go).
//
// A string's underside is a straight line between two unknowns, its height n at
// the nut and s at the saddle, both above the line of the crowns. What is read
// over a crown is linear in them:
//
//	open over the crown at x    gap = n(1 − x/L) + s·x/L − z
//	held down on fret 3         gap over fret 1 = n(1 − x1/x3) − z1 + z3·x1/x3
//
// Two readings fix both, three are weighed by their uncertainty (least squares).
// Derived by hand; checked against worked cases in the tests. Lengths in mm.
package setup
