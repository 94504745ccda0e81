package relief

import "math"

// Part is one material of a section.
type Part struct {
	AreaMM2    float64
	AtMM       float64 // its centroid below the board's top
	MomentMM4  float64 // about its own centroid
	ModulusMPa float64
}

// Rectangle is a part whose top lies topMM below the board's.
func Rectangle(topMM, widthMM, heightMM, modulusMPa float64) Part {
	return Part{widthMM * heightMM, topMM + heightMM/2, widthMM * heightMM * heightMM * heightMM / 12, modulusMPa}
}

// HalfEllipse is half an ellipse, its flat up. With half axes a and b its area is
// πab/2, its centroid lies 4b/3π under the flat, and its own moment is
// (π/8 − 8/9π)·ab³ (textbooks, from memory).
func HalfEllipse(topMM, widthMM, heightMM, modulusMPa float64) Part {
	a, b := widthMM/2, heightMM
	return Part{math.Pi * a * b / 2, topMM + 4*b/(3*math.Pi), (math.Pi/8 - 8/(9*math.Pi)) * a * b * b * b, modulusMPa}
}

// Section is what parts glued to each other bend like.
type Section struct {
	StiffnessNMM2 float64 // ΣEI about the common axis
	AxisMM        float64 // the neutral axis below the board's top
}

// SectionOf puts parts together by the transformed section: the axis at ΣEAy/ΣEA, and
// Σ E(I + A(y − axis)²).
func SectionOf(parts ...Part) Section {
	var s Section
	var ea, eay float64
	for _, p := range parts {
		ea, eay = ea+p.ModulusMPa*p.AreaMM2, eay+p.ModulusMPa*p.AreaMM2*p.AtMM
	}
	s.AxisMM = eay / ea
	for _, p := range parts {
		d := p.AtMM - s.AxisMM
		s.StiffnessNMM2 += p.ModulusMPa * (p.MomentMM4 + p.AreaMM2*d*d)
	}
	return s
}
