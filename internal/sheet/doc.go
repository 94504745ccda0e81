// Package sheet draws answers: the frets sheet to hang by the bench, and plain
// charts, on paper or for a screen. It works nothing out about necks; it places what an answer says.
//
// Colours are of published scales (see package draw), and never the only sign:
// each number stands beside its colour, with its sign and unit, and every state
// has a form of its own that shows in grey.
package sheet
