// Package wood says what air does to wood: the moisture it settles at, how long
// that takes, how much a board changes in width, and how a board on a neck
// bows when the two move differently.
//
// Moisture is per cent of dry weight, humidity per cent, temperature in degrees
// Celsius, lengths in mm.
package wood
