package heights

import "ringtrue/internal/reading"

// A beam or an edge turned end for end shows the part of its own shape that
// changes sign: polynomials of degree 2 to 5 over the frets' length, what is
// odd because its ends change places, what is even where it was rolled over
// too. What reads the same both ways cannot be told from the neck's.
const shapeTerms = 4

// shapedMethods are the gauges of which some lane was read both ways round over
// enough crowns to tell their own shape.
func shapedMethods(c *crowns, obs []observation) (out []reading.Method) {
	const enough = 8 // crowns: offset, tilt, four terms, and two to spare
	type way struct {
		method reading.Method
		lane   float64
		turned bool
	}
	ways := map[way]map[int]bool{}
	for _, o := range obs {
		if o.method != reading.Beam && o.method != reading.Edge {
			continue
		}
		w := way{o.method, o.lane, o.pass.turned}
		if ways[w] == nil {
			ways[w] = map[int]bool{}
		}
		ways[w][o.frets[0]] = true
	}
	for _, m := range []reading.Method{reading.Beam, reading.Edge} {
		for _, span := range c.lanes {
			a, b := ways[way{m, span.lane, false}], ways[way{m, span.lane, true}]
			if shared(a, b) >= enough {
				out = append(out, m)
				break
			}
		}
	}
	return out
}

// shapeOfBeam are Legendre's polynomials of degree 2 to 5 at x.
func shapeOfBeam(x float64) [shapeTerms]float64 {
	x2 := x * x
	return [shapeTerms]float64{(3*x2 - 1) / 2, x * (5*x2 - 3) / 2, (35*x2*x2 - 30*x2 + 3) / 8, x * (63*x2*x2 - 70*x2 + 15) / 8}
}
