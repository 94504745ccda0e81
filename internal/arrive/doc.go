// Package arrive finds how far to file so that the next reading says level.
//
// A plan to the full limit leaves crowns on both edges of the zone: the errors of
// the readings it rests on then put some of them outside, and those of the next
// readings widen the zone again. So the zone to plan to is made narrower, by no
// more than the readings ask for.
//
// Model: the errors of all crowns are jointly normal with the covariance C that
// the estimate states, the hand's are independent, and the next readings are like
// those before. They are taken together with those before, less what was planned.
// What they will then say, seen from now, is the plan's result plus a normal
// error: drawn often, each draw is judged as a reading is, and the share judged
// level is the chance. The widest zone with a chance of 0.95 is the guard band.
//
// Sources: H. Raiffa and R. Schlaifer, Applied Statistical Decision Theory (1961),
// preposterior analysis; R. L. Berger, Multiparameter hypothesis testing and
// acceptance sampling (1982), a statement that holds where each of its parts does;
// JCGM 106:2012, guard bands. All from memory.
package arrive
