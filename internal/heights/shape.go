package heights

import "ringtrue/internal/reading"

// ShapeTerms is how many terms the own shape of a beam or an edge gets. One turned end for end shows the part of its own shape that
// changes sign: polynomials of degree 2 to 5 over the frets' length, what is
// odd because its ends change places, what is even where it was rolled over
// too. What reads the same both ways cannot be told from the neck's.
const ShapeTerms = 4

// Laid is a crown, or a place of a bare board, that a beam or an edge read.
type Laid struct {
	Method reading.Method
	Lane   float64
	Turned bool
	Fret   int
}

// BothWays lists the gauges of which some lane was read both ways round over enough
// crowns to tell their own shape.
func BothWays(all []Laid) (methods []reading.Method) {
	const enough = 8 // crowns: offset, tilt, four terms, and two to spare
	seen, both := map[Laid]bool{}, map[Laid]int{}
	for _, r := range all {
		if seen[r] {
			continue
		}
		seen[r] = true
		other, way := r, Laid{Method: r.Method, Lane: r.Lane}
		if other.Turned = !r.Turned; seen[other] {
			both[way]++
		}
	}
	for _, m := range reading.OfCrowns() {
		for way, n := range both {
			if way.Method == m && n >= enough {
				methods = append(methods, m)
				break
			}
		}
	}
	return methods
}

// shapedMethods are those of some observations.
func shapedMethods(obs []observation) []reading.Method {
	var all []Laid
	for _, o := range obs {
		if o.method.Spec().Turned {
			all = append(all, Laid{o.method, o.lane, o.pass.turned, o.frets[0]})
		}
	}
	return BothWays(all)
}

// OwnShape are Legendre's polynomials of degree 2 to 5 at x.
func OwnShape(x float64) [ShapeTerms]float64 {
	x2 := x * x
	return [ShapeTerms]float64{(3*x2 - 1) / 2, x * (5*x2 - 3) / 2, (35*x2*x2 - 30*x2 + 3) / 8, x * (63*x2*x2 - 70*x2 + 15) / 8}
}
