// Package reading reads the gauge readings of a neck from CSV, as rows or as a
// grid: one struct a reading, in millimetres, with the line it came from.
package reading
