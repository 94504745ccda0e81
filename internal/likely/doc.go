// Package likely draws the crowns of a lane as they may truly stand, from what
// readings say of them.
//
// A size that hangs on the highest of many crowns, such as the lowest action, comes
// out too high of noisy crowns: the largest of many errors is no error on the mean.
// Worked out on crowns that may truly stand, its mean is free of that, and its
// scatter is its uncertainty.
//
// Model: readings give each crown off its line with a normal error of the covariance
// that the estimate states, and say nothing of a straight line added to the lane. A
// lane's crowns are a slow wave of the board, plus how well each fret was seated,
// plus, on a tenth of the frets, much more. How large wave and seating are is
// learned from the lane itself, so that good frets read badly are not taken for bad
// frets. Each crown's wave, seating and kind are drawn in turn, given all else.
//
// Sources: empirical Bayes, Efron and Morris (1973); drawing in turn, Geman and Geman
// (1984); draws of a normal given others by correcting a draw of all, Journel and
// Huijbregts (1978). All from memory. The constants were chosen on invented necks
// whose truth is known.
package likely
