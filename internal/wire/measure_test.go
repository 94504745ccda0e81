package wire

import "errors"

// What tests alone measure.

var errElastic = errors.New("the wire does not yield at this bend: it springs back to where it came from")

// FreeRadius is the radius, in mm and at the crown's underside, that a wire
// held at loadedMM springs back to. errElastic: it never yielded.
func (s Section) FreeRadius(m Metal, loadedMM float64) (float64, Bent, error) {
	centroid := s.CentroidRadius(loadedMM)
	if !(centroid > s.centroid-s.bottom) {
		return 0, Bent{}, ErrTooTight
	}
	b := s.Bend(m, 1/centroid)
	if !(b.FreeCurvature > 0) {
		return 0, b, errElastic
	}
	return s.UndersideRadius(1 / b.FreeCurvature), b, nil
}

// Rectangle is a strip of a width and a height.
func Rectangle(width, height float64) Section { return newSection(0, slab{0, height, width}) }

// Round is a solid round wire of a diameter.
func Round(diameter float64) Section {
	return newSection(0, disc{0, diameter, diameter / 2, diameter / 2})
}

// Tee is a rectangular crown on a rectangular tang.
func Tee(crownWidth, crownHeight, tangWidth, tangDepth float64) Section {
	return newSection(tangDepth, slab{0, tangDepth, tangWidth}, slab{tangDepth, tangDepth + crownHeight, crownWidth})
}

// AreaMM2 is the section's area.
func (s Section) AreaMM2() float64 { return s.area }

// CentroidMM is the height of the centroid above the tang's tip.
func (s Section) CentroidMM() float64 { return s.centroid }

// InertiaMM4 is the second moment of area about the centroid.
func (s Section) InertiaMM4() float64 { return s.inertia }

// PlasticModulusMM3 is the fully plastic moment over the yield.
func (s Section) PlasticModulusMM3() float64 { return s.plasticPerYield }

// PlasticNeutralMM is the height of the neutral axis when all has yielded.
func (s Section) PlasticNeutralMM() float64 { return s.plasticNeutralMM }
