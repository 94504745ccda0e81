// Package board judges the bare board before a fret goes in: is it straight
// along each lane, is its radius what the maker wants, where is it humped or
// hollow, and what must come off so that it ends as one cone.
//
// Readings of a beam or an edge are of the board just behind slot n; straightness
// is taken without the shape that crowns shall have later.
//
// Model. Each lane's heights are free, a weighted least-squares estimate from
// every reading of the lane, known but for a straight line. The radius is one
// straight line along the board through all arch readings (a cone) and, where a
// probe was used, its touches. What a reading says is weighed against a smooth
// board: one that stands alone is named for reading again and has no part in the
// answer.
//
// One confidence for the board: it is ready where every lane and both ends of the
// cone pass at 95 %, so that ready is wrong in 5 % at most, and not ready where one
// of them surely fails, the 5 % being shared by all. No sure word rests on one
// reading.
//
// Sources, from memory: Berger 1982 for tests of which all must pass, Bonferroni for
// those of which one suffices; Rasmussen and Williams 2006, chapters 2 and 5, for the
// Gaussian process, its evidence and leave-one-out residuals.
package board
