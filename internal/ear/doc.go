// Package ear holds what an ear says of a neck's notes, clear or buzzing, against
// what package play makes of them: where prediction and ear disagree, and, where no
// crown was read, the fret that stands high.
//
// A crown that a string would pass by a depth below its rest line takes, of what the
// string's first period can give, about the share depth over height of the pluck's
// triangle: a point that stops an ideal string of wave impedance Z takes 2·Z·v while the
// free string would go on at v, in all 2·Z·depth, and the whole is 2·Z·height. So the
// force at which a note touches, and that at which it buzzes, follow from the free
// string's reach alone, whatever the crowns' heights (TestNotes_AgainstTheRun).
package ear
