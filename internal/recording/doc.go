// Package recording reads a recording of a neck out of a WAV file: numbers of 8 to
// 32 bits or floating point, any rate, one channel or several. It says what is
// wrong with the sound before anybody listens to it: silence, clipping, a dead side.
package recording
