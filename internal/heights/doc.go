// Package heights turns the readings of a neck into crown heights: one weighted
// least-squares estimate of every crown from every reading of every method,
// with its covariance, the readings that do not agree with the others, and the
// crowns that nothing determines.
//
// The unknowns are the crowns, two set-up unknowns (offset and tilt) a pass,
// and little else. No gauge here sees a straight line added to a lane, so each
// lane's heights are given in the free datum: their errors have zero mean and
// zero slope over the lane. Only what does not change with such a line (a zone,
// a step, a distance from a fitted line) may be judged from them.
//
// Neighbouring lanes of a fret inform each other: how the crown's slope changes
// from lane to lane is taken as zero within a scatter learned from the
// readings. A crown that truly stands off that curve (a pit, a burr), a fret
// that curves more than its neighbours, and a reading that is wrong are told
// apart by their likelihood.
//
// Sources: free-datum adjustment and data snooping after Baarda (1968) as in
// the textbooks of geodesy; the checks are in the tests, named by source.
package heights
