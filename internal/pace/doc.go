// Package pace says how long each step takes a shop: how long necks wait between two
// stages, how many wait now, and how long a reading and a job take by hand and gauge.
//
// All of it is counted, not fitted: medians, and the value that nine in ten stay
// within, by the nearest rank (Hyndman and Fan 1996, definition 1, from memory). A
// quantile that so few cases do not give is missing.
package pace
