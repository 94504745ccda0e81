package draw

import "image/color"

// Colour is a solid colour; the zero value is none at all.
type Colour uint32

const opaque Colour = 1 << 24

// Colours of every sheet: ink on paper, and greys that stay apart in print.
const (
	None  Colour = 0
	Ink          = opaque | 0x1f2226
	Slate        = opaque | 0x5b6269 // second voice: labels, notes
	Mist         = opaque | 0xb9bfc4 // guide lines
	Haze         = opaque | 0xe9ebed // quiet areas
	Paper        = opaque | 0xffffff
)

// RGB is the colour of these sRGB values.
func RGB(r, g, b uint8) Colour {
	return opaque | Colour(r)<<16 | Colour(g)<<8 | Colour(b)
}

// Parts are a colour's sRGB values.
func (c Colour) Parts() (r, g, b uint8) { return uint8(c >> 16), uint8(c >> 8), uint8(c) }

func (c Colour) ints() (r, g, b int) { return int(c >> 16 & 0xff), int(c >> 8 & 0xff), int(c & 0xff) }

func (c Colour) rgba() color.RGBA {
	r, g, b := c.Parts()
	return color.RGBA{R: r, G: g, B: b, A: 0xff}
}

// Pen draws lines. A Width of 0 or the colour None draws nothing.
type Pen struct {
	Colour  Colour
	WidthMM float64
	DashMM  []float64 // lengths of dash, gap, dash...; nil is a whole line
}

func (p Pen) seen() bool { return p.Colour != None && p.WidthMM > 0 }

// Look is how an area is filled and edged.
type Look struct {
	Fill Colour
	Edge Pen
}

// Filled is a plain area.
func Filled(c Colour) Look { return Look{Fill: c} }

// Point is a place on the page in mm.
type Point struct{ X, Y float64 }

// Anchor says which point of a text stands at its place, along the line.
type Anchor int

// Anchors along the line.
const (
	Start Anchor = iota
	Middle
	End
)

// Level says which height of a text stands at its place.
type Level int

// Levels: on the baseline; or half the height of a capital at the place, which
// centres numbers; or the top of a capital there.
const (
	OnBase Level = iota
	Centred
	Below
)

// Type is how a text is set. The zero Colour stands for Ink.
type Type struct {
	SizePt float64
	Bold   bool
	Colour Colour
	Anchor Anchor
	Level  Level
	// Turn is in degrees, anticlockwise, about the text's place.
	Turn float64
}

func (t Type) ink() Colour {
	if t.Colour == None {
		return Ink
	}
	return t.Colour
}

// Is returns the type set in another colour.
func (t Type) Is(c Colour) Type { t.Colour = c; return t }

// At returns the type anchored otherwise.
func (t Type) At(a Anchor, l Level) Type { t.Anchor, t.Level = a, l; return t }
