// Package film follows one pluck moment by moment: where the string is, and when
// it lies on which crown, out of the contact run of package play.
//
// Nothing is drawn here and nothing made up: every shape is the run's own, taken
// at one of its steps.
package film
