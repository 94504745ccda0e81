// Package heights turns the readings of a neck into crown heights: one joint
// estimate of every crown from every reading of every method, with its
// covariance, the readings that do not agree with the others, and the crowns that
// nothing determines.
//
// The unknowns are the crowns, two set-up unknowns (offset and tilt) a pass,
// and little else. No gauge here sees a straight line added to a lane, so each
// lane's heights are given in the free datum: their errors have zero mean and
// zero slope over the lane. Only what does not change with such a line (a zone,
// a step, a distance from a fitted line) may be judged from them.
//
// A fret's crowns follow a curve from edge to edge, seated as usual, an end up,
// bent, rough or crooked; a crown may stand in a groove or on a burr, likelier
// beside others; a reading may be wrong. All sets of causes of a fret are weighed
// together, and the answer is the mixture of what they say, so that two near
// explanations show as doubt. Help from other lanes moves a crown by a bounded
// amount from its own readings.
//
// Sources: Gaussian sums after Alspach and Sorenson (1972); the observed
// information of a mixture, Louis (1982); limited translation, Efron and Morris
// (1972); expectation propagation, Minka (2001). All from memory; the checks are in
// the tests, named by source.
package heights
