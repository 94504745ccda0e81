package sheet

import (
	"fmt"
	"math"
	"time"

	"rsc.io/qr"

	"ringtrue/internal/book"
	"ringtrue/internal/draw"
)

// Sizes of a label, in mm.
const (
	labelQuiet      = 4    // modules kept clear around a code (ISO/IEC 18004, 6.3.8)
	labelLeastMM    = 0.25 // of a module: two dots of a 203 dpi label printer
	labelTextMM     = 14.0 // width of text beside the code, at least
	labelTextHighMM = 10.0 // height of text below it, at least
	labelEdgeMM     = 1.5
)

// Label draws a label of a size in mm to stick on a neck or its case: the serial as a
// QR code (ISO/IEC 18004, error correction M: 15 % may be lost) and in plain
// letters, the model and the first day below it, where there are any. An error says
// how large it must be.
func Label(l *book.Label, widthMM, heightMM float64) (*draw.Page, error) {
	code, err := qr.Encode(l.Serial, qr.M)
	if err != nil {
		return nil, fmt.Errorf("QR code of %q: %w", l.Serial, err)
	}
	beside := widthMM >= heightMM
	side, text := math.Min(heightMM, widthMM-labelTextMM), draw.Box{}
	if !beside {
		side = math.Min(widthMM, heightMM-labelTextHighMM)
	}
	modules := float64(code.Size + 2*labelQuiet)
	module := side / modules
	if module < labelLeastMM {
		need := math.Ceil(modules * labelLeastMM)
		return nil, fmt.Errorf("the code of %q needs a label of at least %g by %g mm", l.Serial, need+labelTextMM, need)
	}
	p, err := draw.New(widthMM, heightMM, "Label "+l.Serial)
	if err != nil {
		return nil, err
	}
	date := ""
	if !l.First.IsZero() {
		date = l.First.Format(time.DateOnly)
	}
	p.About(fmt.Sprintf("QR code of the serial %s; in letters: %s, %s, %s.", l.Serial, l.Serial, l.Model, date))
	p.Rect(0, 0, widthMM, heightMM, draw.Filled(draw.Paper))
	if beside {
		drawCode(p, code, 0, (heightMM-side)/2, module)
		text = draw.Box{X: side, Y: labelEdgeMM, W: widthMM - side - labelEdgeMM, H: heightMM - 2*labelEdgeMM}
	} else {
		drawCode(p, code, (widthMM-side)/2, 0, module)
		text = draw.Box{X: 2 * labelEdgeMM, Y: side, W: widthMM - 4*labelEdgeMM, H: heightMM - side - labelEdgeMM}
	}
	return p, labelWords(p, text, l.Serial, l.Model, date)
}

// drawCode draws a code with its quiet zone. Rectangles that only meet leave a
// hairline where a screen or a printer smooths edges; so dark modules are drawn
// as runs along the rows, and again along the columns.
func drawCode(p *draw.Page, code *qr.Code, x, y, module float64) {
	x, y = x+labelQuiet*module, y+labelQuiet*module
	black := draw.Filled(draw.RGB(0, 0, 0))
	for i := range code.Size {
		runs(code.Size, func(k int) bool { return code.Black(k, i) }, func(from, n int) {
			p.Rect(x+float64(from)*module, y+float64(i)*module, float64(n)*module, module, black)
		})
		runs(code.Size, func(k int) bool { return code.Black(i, k) }, func(from, n int) {
			if n > 1 {
				p.Rect(x+float64(i)*module, y+float64(from)*module, module, float64(n)*module, black)
			}
		})
	}
}

// runs calls found for each run of dark modules among n.
func runs(n int, dark func(int) bool, found func(from, length int)) {
	for from := 0; from < n; {
		to := from
		for to < n && dark(to) {
			to++
		}
		if to > from {
			found(from, to-from)
		}
		from = to + 1
	}
}

// labelWords sets the serial as large as its place allows, others below it.
func labelWords(p *draw.Page, box draw.Box, number string, others ...string) error {
	small := draw.Type{SizePt: math.Max(5, math.Min(9, box.H*0.45))}
	var below []string
	for _, w := range others {
		if w != "" {
			below = append(below, w)
		}
	}
	room := box.H - float64(len(below))*small.LineMM()
	serial := draw.Type{SizePt: 24, Bold: true}
	lines := []string{number}
	for ; serial.SizePt >= 4; serial.SizePt -= 0.5 {
		lines = []string{number}
		if serial.SizePt < 9 { // rather two lines than tiny letters
			lines = p.Wrap(number, serial, box.W/slack)
		}
		if float64(len(lines))*serial.LineMM() <= room && slack*widest(p, lines, serial) <= box.W {
			break
		}
	}
	if serial.SizePt < 4 {
		return fmt.Errorf("the serial %q does not fit the label; make it larger", number)
	}
	y := box.Y + (room-float64(len(lines))*serial.LineMM())/2
	for _, line := range lines {
		p.Text(box.X, y+serial.LineMM()/2, line, serial.At(draw.Start, draw.Centred))
		y += serial.LineMM()
	}
	for _, w := range below {
		p.Text(box.X, y+small.LineMM()/2, p.Clip(w, small, box.W/wordSlack), small.At(draw.Start, draw.Centred))
		y += small.LineMM()
	}
	return nil
}

func widest(p *draw.Page, lines []string, set draw.Type) (w float64) {
	for _, l := range lines {
		w = math.Max(w, p.Width(l, set))
	}
	return w
}
