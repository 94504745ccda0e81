// Package level plans what to file off where: the least metal that leaves every
// lane's crowns within the zone, which frets are better refitted first, and what
// the worker should see.
//
// In a lane, d is a crown less the shape, in mm, at x mm along the lane. A plan
// draws a target line t(x) = a + b·x. A crown above it is filed down to it; no
// crown may lie more than one zone below it; nothing is ever added:
//
//	least Σ max(0, d − t)  with  t ≤ d + zone at every crown.
//
// Raising t never costs, so the best line supports the lower hull of the crowns
// raised by the zone, and the cost is convex in its slope b with kinks only
// where the support changes or a crown meets the line.
package level
