// Package playthrough follows a neck that is played through in front of a microphone:
// the sound as it comes in stretches, the notes heard by then, the one to play next,
// and what the player says of them. It holds all in memory and within bounds; it knows
// nothing of pages.
package playthrough
