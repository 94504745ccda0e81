// Package wear compares one neck's crowns at two stages: which crowns wore under
// the strings, which frets moved, and which changed no more than the readings'
// noise, at a stated confidence over the whole neck; and how long a worn crown
// lasts.
//
// No gauge sees a straight line added to a lane, so a change is judged in each
// lane's free datum, with the covariance of both stages. A smooth bow common to
// the lanes is the rod's or the seasons' and is taken out.
//
// Two questions are asked one after the other. Did the neck change at all: the
// largest of many tests, of crowns, of fret ends and of patches of neighbouring
// crowns, is held against what it is on necks that did not change, drawn from the
// same covariance. Only if it did, what changed: all explanations are weighed
// together by Gibbs sampling, crowns that wore, crowns that rose, frets that
// moved, the bow. Each is a spike and a slab: it did not, or it did by an unknown
// amount, integrated out. Wear makes wear on the crowns around it likelier. What
// is likely enough, one by one and all together, is called.
//
// Sources, all from memory: the largest of correlated tests, Baarda (1968) and
// his w; spike and slab, Mitchell and Beauchamp (1988), George and McCulloch
// (1993); the generalised inverse of a free datum from the textbooks of geodesy.
// How a groove deepens is said in life.go.
package wear
