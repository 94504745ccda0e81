// Package serialgauge reads a gauge on a serial line: its lines, the number and
// the unit that each says, and whether the port is there. It knows nothing of
// necks or pages; who runs it is told what comes (Event) and decides.
//
// A line ends with CR, LF or both. A line that does not fit the pattern is told
// as it came: nothing is guessed from it. A port that is missing or was
// unplugged is tried again, with pauses that grow to two seconds.
package serialgauge
