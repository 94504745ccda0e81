// Package plausible looks at gauge readings in the order in which they are
// taken, and asks at once where one does not look right: while the gauge is
// still near, reading it again costs seconds.
//
// A reading is compared with what its own pass says so far, a straight line
// through the pass's readings, and, where the same lane was read before or the
// lane beside it was, with the difference of both. The shape that the neck file
// asks for is taken off first. What is odd is a question, not a verdict: small
// misreads are left to the estimate of package heights, which sees everything.
//
// Where the first readings of a pass contradict each other, the later ones tell
// which was wrong: the question then moves to that one.
//
// Readings of beam, edge, bridge, rocker and crown height are looked at; those
// of probe, arch and sticks are not.
//
// The line is the one of least absolute distances (Bloomfield and Steiger 1983,
// chapter 1), which one wild reading does not pull; the scatter about it is the
// median of the distances times 1.4826 (Hampel 1974, from memory). The limits
// are this program's own, set on simulated necks; the tests measure how often
// they ask of faultless readings and how much they catch.
package plausible
