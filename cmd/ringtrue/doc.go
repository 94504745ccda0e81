// Command ringtrue reckons for the fretwork bench: level or not and what to
// take off where, will it ring, and what to decide before the press.
package main
