package heights

import "ringtrue/internal/reading"

// A beam or an edge turned end for end shows the part of its own shape that
// changes sign: polynomials of degree 2 to 5 over the frets' length, what is
// odd because its ends change places, what is even where it was rolled over
// too. What reads the same both ways cannot be told from the neck's.
const shapeTerms = 4

// layShapes gives a gauge's own shape its unknowns where some lane was read
// both ways round over enough crowns to tell.
func (s *system) layShapes() {
	const enough = 8 // crowns: offset, tilt, four terms, and two to spare
	type way struct {
		method reading.Method
		lane   float64
		turned bool
	}
	ways := map[way]map[int]bool{}
	for _, o := range s.obs {
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
		for _, span := range s.c.lanes {
			a, b := ways[way{m, span.lane, false}], ways[way{m, span.lane, true}]
			if _, laid := s.shapeAt[m]; !laid && shared(a, b) >= enough {
				s.shapeAt[m] = s.n
				s.n += shapeTerms
			}
		}
	}
}

// addShape adds the gauge's own shape to the row being built.
func (s *system) addShape(o observation, x float64) {
	at, known := s.shapeAt[o.method]
	if !known {
		return
	}
	x2 := x * x
	s.arena.at = append(s.arena.at, at, at+1, at+2, at+3)
	s.arena.w = append(s.arena.w, // Legendre's polynomials
		o.sign*(3*x2-1)/2, o.sign*x*(5*x2-3)/2, o.sign*(35*x2*x2-30*x2+3)/8, o.sign*x*(63*x2*x2-70*x2+15)/8)
}
