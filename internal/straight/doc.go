// Package straight says how straight a lane of crowns is and how sure that is:
// the minimum zone, the reference line, bow and step, and the verdicts on
// crowns and lanes.
//
// All heights are crowns less the shape, in mm; x is the distance along the
// lane in mm, strictly ascending. Uncertainties come from the covariance of the
// crowns in the free datum (zero mean and slope of a lane's errors); what is
// judged here does not change when a straight line is added to a lane.
//
// Gaps felt with leaves are brackets: sets, of which nothing is likelier than
// the rest. Brackets and Contrasts say between which widths a lane's zone then
// lies.
//
// Sources: ISO 1101 (minimum zone); P. Bloomfield and W. L. Steiger, Least
// Absolute Deviations (1983), weighted medians; JCGM 106:2012, decision rules.
// All three from memory.
package straight
