package sheet

import (
	"math"
	"testing"

	"ringtrue/internal/draw"
)

// Every sheet but the slots at full size begins alike: its name at the margin in the
// same type, and no text beyond the margins, in the widest usual font too.
func TestSheets_OneFamily(t *testing.T) {
	n := 0
	for name, pages := range inInches(t) {
		if name == "slots" || name == "tiles" || name == "label" || name == "letter" {
			continue
		}
		for i, p := range pages {
			n++
			w, h := p.Size()
			edge, size := edgeOf(p), 16.0
			if w < phoneMM {
				size = 13
			}
			boxes := p.TextBoxes()
			if b := boxes[0]; math.Abs(b.X-edge) > 0.01 || math.Abs(b.Y-edge) > 0.01 || b.Type.SizePt != size || !b.Type.Bold {
				t.Errorf("%s, page %d begins with %q at %.1f, %.1f in %g pt", name, i+1, b.Text, b.X, b.Y, b.Type.SizePt)
			}
			inside := draw.Box{X: edge - 0.3, Y: edge - 0.3, W: w - 2*edge + 0.6, H: h - 2*edge + 0.6}
			for _, b := range boxes {
				if widen(&b, 1.13); !b.Within(inside) {
					t.Errorf("%s, page %d: %q lies beyond the margin: %+v on %.0f by %.0f", name, i+1, b.Text, b.Box, w, h)
				}
			}
		}
	}
	if n < 12 {
		t.Errorf("looked at %d pages only", n)
	}
}
