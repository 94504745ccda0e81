// Package plan works out what is decided before a slot is sawn: where the frets
// go, how long each wire is cut and how far it is bent, how deep the slots are,
// how the tang fits and bows the neck, how much glue goes in and how it gets
// there, and what the bevel takes off the fret ends.
//
// Lengths are in mm, stresses in MPa, angles in degrees, times in seconds.
package plan
