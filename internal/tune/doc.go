// Package tune says how far each stopped note lies from equal temperament and
// where nut and saddle should stand: pressing stretches a string, and a stiff
// string clamped at an end sounds sharp.
//
// x runs along the string's lane from the nut line, z is height above the line
// that crowns are measured from; lengths in mm, forces in N.
package tune
