package reading

import (
	"math"
	"strconv"
	"strings"

	"ringtrue/internal/unit"
)

// Methods lists the methods in the order of the package's constants.
func Methods() []Method {
	return []Method{Beam, Bridge, Rocker, Edge, Probe, Arch, Sticks, Height}
}

// OfCrowns lists the methods that read crowns of one lane against each other:
// package heights makes equations of them. The others tell of the board, of one
// fret against another, or of a crown over the board.
func OfCrowns() []Method {
	return []Method{Beam, Edge, Bridge, Rocker, Probe}
}

// byMethod reads the columns that hang on how the reading was taken.
func (p *parser) byMethod(r *Reading, scale float64) {
	if r.Method == Probe {
		p.touch(r, scale)
		return
	}
	p.unused(r.Method, colX, colY, colZ)
	p.lane(r)
	p.fret(r)
	p.span(r, scale)
	if !p.answer(r) {
		lo, hi := valueBounds(r.Method)
		if v, ok := p.size(colReading, scale, lo, hi); ok {
			r.Value = v
			p.sane(r)
		}
	}
	p.noGo(r, scale)
}

// valueBounds are the least and the most that a method may read, in mm.
func valueBounds(m Method) (lo, hi float64) {
	switch m {
	case Edge, Rocker:
		return 0, mostReading
	case Height:
		return 0, mostCrown
	}
	return -mostReading, mostReading
}

// sane refuses values that the method cannot have read.
func (p *parser) sane(r *Reading) {
	switch {
	case r.Method == Height && r.Value == 0:
		p.fault(colReading, "is 0; a crown's height is more than 0")
	case r.Method == Arch && r.Span > 0 && math.Abs(r.Value) >= r.Span/2:
		p.fault(colReading, "%s mm is more than a half circle over a span of %s mm", unit.Decimal(r.Value), unit.Decimal(r.Span))
	}
}

// touch reads a probe's touch.
func (p *parser) touch(r *Reading, scale float64) {
	p.unused(Probe, colLane, colFret, colReading, colNoGo, colSpan)
	r.X, _ = p.size(colX, scale, -mostTouch, mostTouch)
	r.Y, _ = p.size(colY, scale, -mostTouch, mostTouch)
	r.Z, _ = p.size(colZ, scale, -mostTouch, mostTouch)
}

// unused refuses values where the method has no use for them.
func (p *parser) unused(m Method, cols ...column) {
	for _, c := range cols {
		if text := p.cell(c); text != "" {
			p.fault(c, "%s: %s rows have no %s; leave the cell empty", unit.Quote(text), m, c.name())
		}
	}
}

// lane reads the lane; arch and sticks may leave it empty.
func (p *parser) lane(r *Reading) {
	if p.cell(colLane) == "" && (r.Method == Arch || r.Method == Sticks) {
		return
	}
	v, ok := p.number(colLane)
	switch {
	case !ok:
	case v < 1 || v > float64(p.bounds.Strings):
		p.fault(colLane, "%s is no lane of this neck; write 1 to %d", p.cell(colLane), p.bounds.Strings)
	default:
		r.Lane = v
	}
}

// FretsOf is how many frets a row of a method names; of a probe, which names
// none, the one that a touch belongs to.
func FretsOf(m Method) int {
	switch m {
	case Bridge, Rocker:
		return 3
	case Sticks:
		return 2
	}
	return 1
}

// fret reads the fret, or the frets.
func (p *parser) fret(r *Reading) {
	text := p.cell(colFret)
	if text == "" {
		p.empty(colFret)
		return
	}
	want := FretsOf(r.Method)
	frets, ok := p.splitFrets(text, want)
	if !ok {
		p.fault(colFret, "%s is not %s; write %s%s", unit.Quote(text), howMany(want), sample(want), dateHint(text))
		return
	}
	for _, f := range frets {
		if f < p.bounds.FirstFret || f > p.bounds.LastFret {
			p.fault(colFret, "there is no fret %d on this neck; write %d to %d%s", f, p.bounds.FirstFret, p.bounds.LastFret, dateHint(text))
			return
		}
	}
	switch {
	case want == 3 && (frets[0]-frets[1])*(frets[1]-frets[2]) <= 0:
		p.fault(colFret, "%s: the second fret must lie between the other two, as in 6-7-8", unit.Quote(text))
	case want == 2 && frets[0] == frets[1]:
		p.fault(colFret, "%s: the two sticks must lie on different frets", unit.Quote(text))
	default:
		r.Frets = frets
	}
}

// splitFrets reads "7" or "6-7-8"; the dash may be a long one.
func (p *parser) splitFrets(text string, want int) ([]int, bool) {
	if strings.Contains(text, "–") {
		text = strings.ReplaceAll(text, "–", "-")
	}
	if strings.Count(text, "-") != want-1 {
		return nil, false
	}
	if cap(p.frets)-len(p.frets) < want {
		p.frets = make([]int, 0, 512)
	}
	start := len(p.frets)
	for part := range strings.SplitSeq(text, "-") {
		part = strings.TrimSpace(part)
		f, err := strconv.Atoi(part)
		if err != nil || part[0] == '+' || len(part) > 4 {
			p.frets = p.frets[:start]
			return nil, false
		}
		p.frets = append(p.frets, f)
	}
	return p.frets[start:len(p.frets):len(p.frets)], true
}

func howMany(n int) string {
	return [...]string{"", "one fret", "two frets", "three frets"}[n]
}

func sample(n int) string { return [...]string{"", "7", "1-12", "6-7-8"}[n] }

// dateHint tells of a trap: spreadsheets take 6-7-8 for a date.
func dateHint(text string) string {
	if strings.ContainsAny(text, "./") || strings.ContainsFunc(text, isLetter) || len(text) >= len("2008-7-6") {
		return " (if a spreadsheet made a date of it, format the column as text)"
	}
	return ""
}

func isLetter(r rune) bool { return r >= 'A' && r <= 'Z' || r >= 'a' && r <= 'z' }

// answer reads a rocker's rocks or still.
func (p *parser) answer(r *Reading) bool {
	text := strings.ToLower(p.cell(colReading))
	if r.Method == Rocker && text != "" && !strings.ContainsAny(text, "0123456789") && text != "rocks" && text != "still" {
		p.fault(colReading, "%s is no answer of a rocker; write rocks, still, or the gap such as 0.12", unit.Quote(p.cell(colReading)))
		return true
	}
	if text != "rocks" && text != "still" {
		return false
	}
	if r.Method != Rocker {
		p.fault(colReading, "%s is an answer of a rocker; %s rows have a number", text, r.Method)
		return true
	}
	r.Answer = Still
	if text == "rocks" {
		r.Answer = Rocks
	}
	return true
}

// span reads the distance of the gauge's feet, or over which sticks are seen.
func (p *parser) span(r *Reading, scale float64) {
	if r.Method != Arch && r.Method != Sticks {
		p.unused(r.Method, colSpan)
		return
	}
	if v, ok := p.size(colSpan, scale, 0, mostSpan); ok && v == 0 {
		p.fault(colSpan, "is 0; write the distance, more than 0")
	} else if ok {
		r.Span = v
	}
}

// noGo reads the thinnest leaf that no longer enters.
func (p *parser) noGo(r *Reading, scale float64) {
	text := p.cell(colNoGo)
	if text == "" {
		return
	}
	if r.Method != Edge && r.Method != Rocker {
		p.unused(r.Method, colNoGo)
		return
	}
	if r.Answer != Number {
		p.fault(colNoGo, "stands beside %s; a leaf needs a number for the gap", p.cell(colReading))
		return
	}
	v, ok := p.size(colNoGo, scale, 0, mostReading)
	switch {
	case !ok:
	case v <= r.Value:
		p.fault(colNoGo, "%s is no thicker than the leaf that enters, %s", text, p.cell(colReading))
	default:
		r.NoGo = &v
	}
}
