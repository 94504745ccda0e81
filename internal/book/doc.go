// Package book is what a workshop keeps of its necks for good: one record a
// measured stage of a neck, with the neck file and the readings byte for byte
// as they were given, and beside them what was worked out from them.
//
// Records are never changed or removed. A correction is a new record that
// names the one it corrects. Only what is derived may be worked out again.
//
// Figures and crowns of records, in order of time, become the series that package
// drift charts.
//
// The package holds the terms and the arithmetic of records; the stores
// themselves are in its folders sqlite and postgres.
package book
