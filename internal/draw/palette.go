package draw

import "math"

// vikStops are 17 even steps of the diverging scale "vik", from low to high:
// blue over near-white to red-brown, of even lightness steps and safe for the
// common kinds of colour blindness.
//
// Source: F. Crameri, Scientific colour maps 7.0.1 (2021), Zenodo,
// doi:10.5281/zenodo.5501399, MIT licence; sampled from the 255 steps of its
// GMT 6.4 edition (vik.cpt).
func vikStops() [17][3]uint8 {
	return [17][3]uint8{
		{0, 18, 97}, {2, 43, 113}, {3, 68, 129}, {12, 94, 146}, {48, 125, 166}, {97, 158, 189}, {148, 190, 210}, {198, 219, 230},
		{236, 229, 224},
		{233, 204, 186}, {220, 172, 144}, {207, 142, 104}, {195, 114, 67}, {179, 83, 31}, {148, 47, 6}, {116, 21, 6}, {89, 0, 8},
	}
}

// Diverging is the colour of t from −1 (deep blue) over 0 (near white) to +1
// (deep red-brown); t beyond these is taken as their ends, NaN as 0.
func Diverging(t float64) Colour {
	if math.IsNaN(t) {
		t = 0
	}
	stops := vikStops()
	return between(stops[:], (t+1)/2)
}

// batlowStops are 9 even steps of the scale "batlow", dark to light, as safe as
// vik. Source: the same; sampled from its GMT 6.4 edition (batlow.cpt).
func batlowStops() [9][3]uint8 {
	return [9][3]uint8{
		{1, 25, 89}, {17, 67, 96}, {34, 96, 97}, {77, 115, 77}, {130, 130, 49},
		{190, 144, 53}, {241, 157, 107}, {253, 180, 180}, {250, 204, 250},
	}
}

// Sequential is the colour of t from 0 (dark blue) over olive to 1 (pale rose),
// lighter at each step; t beyond these is taken as their ends, NaN as 0.
func Sequential(t float64) Colour {
	if math.IsNaN(t) {
		t = 0
	}
	stops := batlowStops()
	return between(stops[:], t)
}

// Series is the colour of the i-th curve of a chart, from 0: four dark steps of
// vik and batlow, at least 3.9 to 1 on paper, then again from the first. Curves
// differ in dash or mark too.
func Series(i int) Colour {
	colours := [...]Colour{Sequential(0), Diverging(0.75), Diverging(-0.5), Sequential(0.5)}
	return colours[((i%len(colours))+len(colours))%len(colours)]
}

// between is the colour at t, 0 to 1, of even steps.
func between(stops [][3]uint8, t float64) Colour {
	s := math.Max(0, math.Min(1, t)) * float64(len(stops)-1)
	i := min(int(s), len(stops)-2)
	w := s - float64(i)
	var c [3]uint8
	for k := range c {
		a, b := float64(stops[i][k]), float64(stops[i+1][k])
		c[k] = uint8(math.Round(a + w*(b-a)))
	}
	return RGB(c[0], c[1], c[2])
}

// Luminance is the relative luminance of a colour, 0 black to 1 white.
// Source: W3C, Web Content Accessibility Guidelines 2.2, "relative luminance".
func (c Colour) Luminance() float64 {
	r, g, b := c.Parts()
	return 0.2126*linear(r) + 0.7152*linear(g) + 0.0722*linear(b)
}

func linear(v uint8) float64 {
	s := float64(v) / 255
	if s <= 0.04045 {
		return s / 12.92
	}
	return math.Pow((s+0.055)/1.055, 2.4)
}

// Contrast is the contrast ratio of two colours, 1 to 21; text wants 4.5.
// Source: W3C, Web Content Accessibility Guidelines 2.2, "contrast ratio".
func Contrast(a, b Colour) float64 {
	x, y := a.Luminance(), b.Luminance()
	if x < y {
		x, y = y, x
	}
	return (x + 0.05) / (y + 0.05)
}

// InkOn is black or white, whichever reads better on the colour: the contrast is
// then at least √21 = 4.58, which the softer Ink would miss.
func InkOn(c Colour) Colour {
	black := RGB(0, 0, 0)
	if Contrast(black, c) >= Contrast(Paper, c) {
		return black
	}
	return Paper
}
