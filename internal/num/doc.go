// Package num holds what gonum lacks and more than one trade needs: convex hulls
// of points in order of x, linear programs over free variables, roots, rounding. It knows
// no frets and no units.
package num
