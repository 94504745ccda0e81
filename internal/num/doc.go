// Package num holds the small exact programs that gonum lacks: convex hulls of
// points in order of x, and a linear program over free variables. It knows no
// frets and no units.
package num
