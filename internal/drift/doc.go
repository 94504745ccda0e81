// Package drift tells whether a process is steady: control charts of a series
// of values in order of time, run rules, capability, the time of a change, and
// how many false alarms a chart gives.
//
// Values are in whatever unit the series has; limits, centres and standard
// deviations are in the same one. Indices of points count from 1.
//
// Sources are named beside each function. Where a bench needs them: Montgomery,
// "Introduction to Statistical Quality Control"; NIST/SEMATECH e-Handbook of
// Statistical Methods, chapter 6.3; Nelson, Journal of Quality Technology 16
// (1984) 237.
package drift
