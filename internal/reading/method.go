package reading

import (
	"strconv"
	"strings"

	"ringtrue/internal/unit"
)

// byMethod reads the columns that hang on how the reading was taken.
func (p *parser) byMethod(r *Reading, scale float64) {
	s := r.Method.Spec()
	if s.SetUp == Frame {
		p.touch(r, s, scale)
		return
	}
	p.unused(r.Method, colX, colY, colZ)
	p.lane(r, s)
	p.fret(r, s.Frets)
	p.span(r, s, scale)
	if !p.leaves(s) {
		return
	}
	if !p.answer(r, s) {
		if v, ok := p.size(colReading, scale, s.Low, s.High); ok {
			r.Value = v
			if s.refuse != nil && s.refuse(*r) != "" {
				p.fault(colReading, "%s", s.refuse(*r))
			}
			p.asLeaf(colReading, s, v)
		}
	}
	p.noGo(r, s, scale)
}

// touch reads a probe's touch.
func (p *parser) touch(r *Reading, s Spec, scale float64) {
	p.unused(r.Method, colLane, colFret, colReading, colNoGo, colSpan)
	r.X, _ = p.size(colX, scale, s.Low, s.High)
	r.Y, _ = p.size(colY, scale, s.Low, s.High)
	r.Z, _ = p.size(colZ, scale, s.Low, s.High)
}

// unused refuses values where the method has no use for them.
func (p *parser) unused(m Method, cols ...column) {
	for _, c := range cols {
		if text := p.cell(c); text != "" {
			p.fault(c, "%s: %s rows have no %s; leave the cell empty", unit.Quote(text), m, c.name())
		}
	}
}

// lane reads the lane; a gauge that lies across the board may leave it empty.
func (p *parser) lane(r *Reading, s Spec) {
	if p.cell(colLane) == "" && s.Across {
		return
	}
	v, ok := p.number(colLane)
	switch {
	case !ok:
	case v < 1 || v > float64(p.bounds.Strings):
		p.fault(colLane, "this neck has no lane %s; use 1 to %d", p.cell(colLane), p.bounds.Strings)
	default:
		r.Lane = v
	}
}

// fret reads the fret, or the frets.
func (p *parser) fret(r *Reading, want int) {
	text := p.cell(colFret)
	if text == "" {
		p.empty(colFret)
		return
	}
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
func (p *parser) answer(r *Reading, s Spec) bool {
	text := strings.ToLower(p.cell(colReading))
	if s.Rocks && text != "" && !strings.ContainsAny(text, "0123456789") && text != "rocks" && text != "still" {
		p.fault(colReading, "%s is not an answer of a %s; write rocks, still, or the gap, like 0.12", unit.Quote(p.cell(colReading)), r.Method)
		return true
	}
	if text != "rocks" && text != "still" {
		return false
	}
	if !s.Rocks {
		p.fault(colReading, "%s is an answer of a %s; %s rows have a number", text, rocking(" or a "), r.Method)
		return true
	}
	r.Answer = Still
	if text == "rocks" {
		r.Answer = Rocks
	}
	return true
}

// span reads the distance of the gauge's feet, or over which sticks are seen.
func (p *parser) span(r *Reading, s Spec, scale float64) {
	if s.Span == "" {
		p.unused(r.Method, colSpan)
		return
	}
	if v, ok := p.size(colSpan, scale, 0, maxSpan); ok && v == 0 {
		p.fault(colSpan, "is 0; write the distance, more than 0")
	} else if ok {
		r.Span = v
	}
}

// noGo reads the thinnest leaf that no longer enters.
func (p *parser) noGo(r *Reading, s Spec, scale float64) {
	text := p.cell(colNoGo)
	if text == "" {
		return
	}
	if !s.Gap {
		p.unused(r.Method, colNoGo)
		return
	}
	if r.Answer != Number {
		p.fault(colNoGo, "can't go with %s; a leaf needs a number for the gap", p.cell(colReading))
		return
	}
	v, ok := p.size(colNoGo, scale, 0, maxReading)
	switch {
	case !ok:
	case v <= r.Value:
		p.fault(colNoGo, "%s must be thicker than the leaf that enters, %s", text, p.cell(colReading))
	default:
		r.NoGo = &v
		p.asLeaf(colNoGo, s, v)
	}
}

// thickest is more than any leaf that goes under a straightedge on frets, mm: sets of
// feelers end at 1 mm (from memory), and 2 is a leaf of 0.02 mm typed in hundredths.
const thickest = 2

// asLeaf refuses a new gap that no leaf reaches.
func (p *parser) asLeaf(c column, s Spec, mm float64) {
	if s.Gap && p.bounds.New && mm >= thickest {
		p.fault(c, "%s %s is too thick for a feeler; write 8 hundredths as 0.08", p.cell(c), p.cell(colUnit))
	}
}
