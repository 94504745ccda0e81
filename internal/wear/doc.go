// Package wear compares one neck's crowns at two stages: which crowns wore under
// the strings, which frets moved, and which changed no more than the gauges'
// noise, at a stated confidence over the whole neck; and how long a worn crown
// lasts.
//
// No gauge sees a straight line added to a lane, so a change is taken from a
// line of its lane. That line is fitted to the crowns that did not change: a
// crown beyond the noise counts the same however far it went (the truncated
// square), so a groove does not drag the line towards it. A smooth bow common to
// the lanes is the rod's or the seasons' and is taken out first.
//
// What stays is told apart fret by fret. A fret that came up, or went down alike
// in every lane, moved; lanes that went lower while others stayed are worn.
//
// Sources: truncated squares and search by lines through pairs of points,
// Rousseeuw and Leroy, Robust Regression and Outlier Detection (1987), chapters
// 3 and 5; the guard over many crowns, Šidák (1967). Both from memory. How a
// groove deepens is said in life.go.
package wear
