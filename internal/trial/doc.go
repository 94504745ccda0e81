// Package trial puts the judgement of a neck on trial: it invents necks whose
// crowns are known, takes the readings that a gauge would take of them, and
// counts how far off the answer is, what it finds, and whom it blames.
//
// A class is a kind of neck together with the gauges that read it. A neck comes
// from a class, a seed and its options alone; its crowns do not change with how
// often or how finely they are read. What real necks share of each class is a
// choice of ours, not a measurement.
//
// Crowns stand where the intended board has them (geometry.Layout.Surface), on
// the shape that the neck file asks for, plus the faults drawn. A lane read by
// itself, each pass joined by least squares and nothing set aside, is the
// yardstick: what plain averaging gives.
package trial
