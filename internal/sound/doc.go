// Package sound makes a stopped, plucked string heard: what its saddle feels, or
// what a pickup sees, out of the contact run of package play, as a WAV file.
//
// Nothing is made up between the run and the file: the run's modes give the
// signal at the run's own rate, a low-pass brings it to 48 kHz, one fixed scale
// brings it to 16 bits. No body, no room and no amplifier are added, and the
// pluck is the run's own sharp triangle: brighter than a finger.
package sound
