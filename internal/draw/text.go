package draw

import (
	"math"
	"strings"
	"unicode"

	"ringtrue/internal/unit"
)

// MMPerPt is the size of a point: 1/72 inch.
const MMPerPt = unit.MMPerInch / 72

// Heights of the Go fonts' letters, in em (OS/2 and hhea tables of the fonts).
const (
	capEm     = 0.723 // a capital or digit over the baseline
	descentEm = 0.211 // a g below it
)

// text is a text on the page: its left end on the baseline is at x, y.
type text struct {
	words  string
	set    Type
	x, y   float64 // mm, y down: where the text's anchor stands on its baseline
	widthM float64 // its width in mm
}

// Text sets one line of text at a place. Line breaks in it become spaces. An
// empty text or a size of 0 draws nothing.
func (p *Page) Text(x, y float64, words string, set Type) {
	words = p.turned(plain(words))
	if words == "" || !(set.SizePt > 0) {
		return
	}
	em := set.SizePt * MMPerPt
	drop := 0.0 // from the place down to the baseline
	switch set.Level {
	case Centred:
		drop = capEm / 2 * em
	case Below:
		drop = capEm * em
	}
	sin, cos := math.Sincos(set.Turn * math.Pi / 180)
	t := &text{words: words, set: set, x: round(x + drop*sin), y: round(y + drop*cos), widthM: p.Width(words, set)}
	p.marks = append(p.marks, mark{text: t})
	box := t.box()
	p.boxes = append(p.boxes, TextBox{Box: box, Text: words, Type: set})
	p.grow(box)
}

// plain is a text on one line, single spaces between its words, without letters
// that no font shows.
func plain(s string) string {
	s = strings.ToValidUTF8(strings.Join(strings.Fields(s), " "), "\uFFFD")
	return strings.Map(func(r rune) rune {
		if unicode.IsControl(r) {
			return -1
		}
		return r
	}, s)
}

// start is how far the text's left end lies from its anchor, along the line.
func (t *text) start() float64 {
	switch t.set.Anchor {
	case Middle:
		return -t.widthM / 2
	case End:
		return -t.widthM
	}
	return 0
}

func (t *text) box() Box {
	em := t.set.SizePt * MMPerPt
	sin, cos := math.Sincos(t.set.Turn * math.Pi / 180)
	x0, x1 := math.Inf(1), math.Inf(-1)
	y0, y1 := x0, x1
	for _, along := range []float64{t.start(), t.start() + t.widthM} {
		for _, down := range []float64{-capEm * em, descentEm * em} {
			x, y := t.x+along*cos+down*sin, t.y-along*sin+down*cos
			x0, x1 = math.Min(x0, x), math.Max(x1, x)
			y0, y1 = math.Min(y0, y), math.Max(y1, y)
		}
	}
	return Box{X: x0, Y: y0, W: x1 - x0, H: y1 - y0}
}

// Width is the width in mm of a line of text, set so.
func (p *Page) Width(words string, set Type) float64 {
	if words == "" || !(set.SizePt > 0) {
		return 0
	}
	return p.fonts.widthEm(p.turned(words), set.Bold) * set.SizePt * MMPerPt
}

// LineMM is a comfortable distance between baselines, in mm.
func (t Type) LineMM() float64 { return 1.28 * t.SizePt * MMPerPt }

// CapMM is the height of a capital or digit, in mm.
func (t Type) CapMM() float64 { return capEm * t.SizePt * MMPerPt }

// Wrap breaks a text into lines no wider than widthMM where words allow; a
// single word that is wider is broken within.
func (p *Page) Wrap(words string, set Type, widthMM float64) []string {
	var lines []string
	line := ""
	for _, word := range strings.Fields(p.turned(words)) {
		longer := strings.TrimPrefix(line+" "+word, " ")
		if p.Width(longer, set) <= widthMM {
			line = longer
			continue
		}
		if line != "" {
			lines = append(lines, line)
		}
		for p.Width(word, set) > widthMM {
			head := p.fit(word, set, widthMM)
			lines = append(lines, head)
			word = strings.TrimPrefix(word, head)
		}
		line = word
	}
	if line != "" {
		lines = append(lines, line)
	}
	return lines
}

// fit is the longest start of a word, one letter at least, that fits.
func (p *Page) fit(word string, set Type, widthMM float64) string {
	letters := []rune(word)
	for n := len(letters) - 1; n > 1; n-- {
		if head := string(letters[:n]); p.Width(head, set) <= widthMM {
			return head
		}
	}
	return string(letters[:1])
}

// Clip shortens a text with an ellipsis so that it fits widthMM.
func (p *Page) Clip(words string, set Type, widthMM float64) string {
	words = p.turned(plain(words))
	if p.Width(words, set) <= widthMM {
		return words
	}
	letters := []rune(words)
	for n := len(letters) - 1; n > 0; n-- {
		if s := strings.TrimSpace(string(letters[:n])) + "…"; p.Width(s, set) <= widthMM {
			return s
		}
	}
	return "…"
}
