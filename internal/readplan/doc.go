// Package readplan says what to read next on a neck, and what to read first:
// what a set of readings would leave of the doubt before any of it is taken.
//
// A set of readings that are only planned changes no height, but it is known how
// far it narrows the crowns' joint covariance: with B the readings in terms of
// the crowns and U their own covariance, Cov' = Cov − Cov·Bᵀ(B·Cov·Bᵀ + U)⁻¹·B·Cov.
// Offset and tilt of each set-up of a gauge are unknown and are projected out of
// B. The heights that will be estimated then scatter about today's by Cov − Cov',
// so drawing them tells how often every lane will be called level or not level.
//
// Before the first reading, necks are drawn as the shop makes them, read as the
// plan says, and judged.
//
// All in mm and minutes; every lane in the free datum or any other, since nothing
// here changes when a straight line is added to a lane. Sources, from memory:
// Raiffa and Schlaifer, Applied Statistical Decision Theory (1961), preposterior
// analysis; Kalman (1960) for the update.
package readplan
