package wire

import (
	"fmt"
	"math"
)

// Section is the cross-section of a wire that is the same left and right.
type Section struct {
	parts            []part
	area             float64
	centroid         float64 // y
	inertia          float64 // about the centroid
	bottom, top      float64
	undersideMM      float64 // y of the crown's underside, where it rests on the board
	plasticPerYield  float64 // plastic moment over yield: the plastic modulus, mm³
	plasticNeutralMM float64
}

// part is a piece of a section between two heights with its moments from its
// own bottom up to y, for y within the piece.
type part interface {
	span() (bottom, top float64)
	upTo(y float64) moments
}

// moments are the area and its first and second moments about y = 0.
type moments struct{ a, s, i float64 }

func (m moments) plus(o moments) moments  { return moments{m.a + o.a, m.s + o.s, m.i + o.i} }
func (m moments) minus(o moments) moments { return moments{m.a - o.a, m.s - o.s, m.i - o.i} }

// about moves the moments from y = 0 to an axis at y.
func (m moments) about(y float64) moments {
	return moments{m.a, m.s - y*m.a, m.i - 2*y*m.s + y*y*m.a}
}

// slab is a rectangle.
type slab struct{ y0, y1, width float64 }

func (p slab) span() (bottom, top float64) { return p.y0, p.y1 }

func (p slab) upTo(y float64) moments {
	w, h := p.width, y-p.y0
	m := moments{w * h, w * h * h / 2, w * h * h * h / 3} // about the slab's own bottom
	return m.about(-p.y0)
}

// disc is the part of a circle between two heights.
type disc struct{ y0, y1, centre, radius float64 }

func (p disc) span() (bottom, top float64) { return p.y0, p.y1 }

func (p disc) upTo(y float64) moments {
	m := p.primitive(y - p.centre).minus(p.primitive(p.y0 - p.centre))
	return m.about(-p.centre)
}

// primitive integrates the circle's width 2√(R² − u²) times 1, u and u² from
// its middle up to u.
func (p disc) primitive(u float64) moments {
	r := p.radius
	u = math.Max(-r, math.Min(r, u))
	root := math.Sqrt((r - u) * (r + u))
	asin := math.Asin(u / r)
	return moments{
		a: u*root + r*r*asin,
		s: -2.0 / 3 * root * root * root,
		i: (u*(2*u*u-r*r)*root + r*r*r*r*asin) / 4,
	}
}

// upTo gives the moments of all of the section below y.
func (s Section) upTo(y float64) moments {
	var sum moments
	for _, p := range s.parts {
		bottom, top := p.span()
		if y > bottom {
			sum = sum.plus(p.upTo(math.Min(y, top)))
		}
	}
	return sum
}

// FretWire is the section of fret wire: the crown a segment of a circle, its
// chord crownWidth and its height crownHeight, on the tang's rectangle,
// tangWidth by tangDepth. An error says which size cannot be.
func FretWire(crownWidth, crownHeight, tangWidth, tangDepth float64) (Section, error) {
	for _, c := range []struct {
		name string
		mm   float64
	}{{"crown width", crownWidth}, {"crown height", crownHeight}, {"tang width", tangWidth}, {"tang depth", tangDepth}} {
		if !(c.mm > 0) || math.IsInf(c.mm, 0) {
			return Section{}, fmt.Errorf("%s of %g mm must be more than 0", c.name, c.mm)
		}
	}
	if tangWidth > crownWidth {
		return Section{}, fmt.Errorf("the tang (%g mm) is wider than the crown (%g mm)", tangWidth, crownWidth)
	}
	r := (crownWidth*crownWidth/4 + crownHeight*crownHeight) / (2 * crownHeight)
	top := tangDepth + crownHeight
	return newSection(tangDepth, slab{0, tangDepth, tangWidth}, disc{tangDepth, top, top - r, r}), nil
}

func newSection(underside float64, parts ...part) Section {
	s := Section{parts: parts, undersideMM: underside}
	s.bottom, _ = parts[0].span()
	_, s.top = parts[len(parts)-1].span()
	m := s.upTo(s.top)
	s.area, s.centroid = m.a, m.s/m.a
	s.inertia = m.about(s.centroid).i
	s.plasticNeutralMM = s.halving()
	low := s.upTo(s.plasticNeutralMM).about(s.plasticNeutralMM)
	s.plasticPerYield = m.about(s.plasticNeutralMM).s - 2*low.s
	return s
}

// halving is the height that halves the area: the neutral axis of the fully
// plastic section.
func (s Section) halving() float64 {
	lo, hi := s.bottom, s.top
	for range 200 {
		mid := (lo + hi) / 2
		if mid <= lo || mid >= hi {
			break
		}
		if s.upTo(mid).a < s.area/2 {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2
}

// reach is the largest distance of a fibre from the centroid.
func (s Section) reach() float64 { return math.Max(s.centroid-s.bottom, s.top-s.centroid) }

// CentroidRadius turns the radius of the crown's underside, the tang lying
// inside the bend, into that of the centroid.
func (s Section) CentroidRadius(undersideMM float64) float64 {
	return undersideMM + s.centroid - s.undersideMM
}

// UndersideRadius is the reverse of CentroidRadius.
func (s Section) UndersideRadius(centroidMM float64) float64 {
	return centroidMM - (s.centroid - s.undersideMM)
}
