// Package reading reads the gauge readings of a neck from CSV: one struct a
// row, in millimetres, with the line it came from.
package reading
