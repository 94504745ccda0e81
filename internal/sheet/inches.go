package sheet

import (
	"math"
	"strings"

	"ringtrue/internal/draw"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
)

// newPage starts a page. For an inch shop all its words are turned into inches, and
// numbers that stand without their unit must be drawn in inches too.
func newPage(widthMM, heightMM float64, title string, units Units) (*draw.Page, error) {
	p, err := draw.New(widthMM, heightMM, title)
	if err == nil && units == Thousandths {
		p.Turn(text.Inches)
	}
	return p, err
}

// length is a unit that lengths are drawn in.
type length struct {
	name string
	per  float64 // so many of it in one of the values' unit
}

// lengthFor is what a unit's values, as far from 0 as most, are drawn in: in an inch
// shop thousandths under a millimetre, inches from there on; else, and for what is
// no length, the unit itself.
func lengthFor(of string, most float64, units Units) length {
	perMM := map[string]float64{"mm": 1, "µm": 1000, "in": 1 / unit.MMPerInch}[of]
	if perMM == 0 || units != Thousandths {
		return length{of, 1}
	}
	perIn := 1 / unit.MMPerInch / perMM
	if most/perMM < 1 {
		return length{"thou", 1000 * perIn}
	}
	return length{"in", perIn}
}

// digits are the decimals that say as much as so many of the values' own unit do.
func (l length) digits(own int) int {
	if l.per == 1 {
		return own
	}
	return max(0, int(math.Ceil(float64(own)-math.Log10(l.per)-0.5)))
}

// say writes a value, given with so many decimals in its own unit.
func (l length) say(v float64, own int) string { return number(v*l.per, l.digits(own)) }

// in draws the axes of a chart that count lengths, as their labels' ends say, in the
// unit of the shop. The values stay.
func (c chart) in(units Units) chart {
	c.X = c.X.in(units, c.extent, true)
	c.Y = c.Y.in(units, c.extent, false)
	return c
}

func (a axis) in(units Units, extent func(bool) (lo, hi float64), alongX bool) axis {
	if a.per != 0 {
		return a // it is settled
	}
	at := strings.LastIndex(a.Label, " ") + 1
	lo, hi := a.Min, a.Max
	if !(lo < hi) {
		lo, hi = extent(alongX)
	}
	l := lengthFor(a.Label[at:], math.Max(math.Abs(lo), math.Abs(hi)), units)
	a.Label, a.per = a.Label[:at]+l.name, l.per
	return a
}
