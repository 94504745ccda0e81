// Package glue says how long glue around a tang needs before its fret may be
// levelled: handling times of cyanoacrylate by gap, air and wood, waits of other
// glues, and the fit of a shop's own push-out test.
//
// Lengths are in mm, forces in N, temperatures in degrees Celsius, humidity in per
// cent. Times carry their unit in their name.
package glue
