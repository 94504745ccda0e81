package reading

import (
	"strconv"
	"strings"
	"unicode"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/unit"
)

// Bounds of what passes as a reading, in mm: beyond lies a slip of the pen or
// a wrong unit.
const (
	mostReading = 100  // any height or gap
	mostCrown   = 10   // a crown's height
	mostSpan    = 500  // between the feet of a gauge
	mostTouch   = 5000 // a probe's coordinate in its own frame
	mostU       = 10   // a standard uncertainty
	longestText = 80   // characters of a name, a date
)

// cell is the text of a column in this row, empty where it has none.
func (p *parser) cell(c column) string {
	if i := p.header.at[c]; i >= 0 && i < len(p.cells) {
		return p.cells[i]
	}
	return ""
}

// row reads one row.
func (p *parser) row() {
	if !p.rightLength() {
		return
	}
	before := len(p.faults)
	r := Reading{Line: p.line(0), U: DefaultU}
	scale, okUnit := p.unitOf()
	okMethod := p.method(&r)
	if !okUnit || !okMethod {
		return
	}
	p.common(&r, scale)
	p.byMethod(&r, scale)
	if len(p.faults) == before {
		p.notePass(&r)
		p.readings = append(p.readings, r)
	}
}

// rightLength holds the row against the header.
func (p *parser) rightLength() bool {
	n := len(p.cells)
	switch {
	case n < p.header.cells:
		p.faults.Add(p.file, p.line(0), "", "has %d cells, the header %d; leave unused cells empty, but keep their separators", n, p.header.cells)
		return false
	case n == p.header.cells:
		return true
	}
	for _, extra := range p.cells[p.header.cells:] {
		if extra == "" {
			continue
		}
		hint := ""
		if p.comma == ',' {
			hint = "; a decimal comma needs ; between the cells"
		}
		p.faults.Add(p.file, p.line(0), "", "has %d cells, the header %d%s", n, p.header.cells, hint)
		return false
	}
	return true
}

// unitOf is how many mm the row's unit is.
func (p *parser) unitOf() (mm float64, ok bool) {
	switch u := p.cell(colUnit); {
	case strings.EqualFold(u, "mm"):
		return 1, true
	case strings.EqualFold(u, "in"):
		return unit.MMPerInch, true
	case u == "":
		p.fault(colUnit, "is empty; write mm or in")
	default:
		p.fault(colUnit, "%s is no unit here; write mm or in", unit.Quote(u))
	}
	return 0, false
}

// method reads how the reading was taken.
func (p *parser) method(r *Reading) bool {
	text := p.cell(colMethod)
	known := make([]string, 0, 8)
	for _, m := range Methods() {
		if strings.EqualFold(text, string(m)) {
			r.Method = m
			return true
		}
		known = append(known, string(m))
	}
	switch near := fileerr.Nearest(text, known); {
	case text == "":
		p.fault(colMethod, "is empty; write one of %s", strings.Join(known, ", "))
	case near != "":
		p.fault(colMethod, "%s is unknown; did you mean %s?", unit.Quote(text), near)
	default:
		p.fault(colMethod, "%s is unknown; write one of %s", unit.Quote(text), strings.Join(known, ", "))
	}
	return false
}

// common reads the columns that any method may have.
func (p *parser) common(r *Reading, scale float64) {
	if p.cell(colU) != "" {
		if v, ok := p.size(colU, scale, 0, mostU); ok && v == 0 {
			p.fault(colU, "is 0; a standard uncertainty is more than 0")
		} else if ok {
			r.U, r.UGiven = v, true
		}
	}
	r.Pass = p.text(colPass)
	p.turned(r)
	r.State = p.text(colState)
	switch low := strings.ToLower(r.State); low {
	case "", "slack", "rod set", "strung":
		r.State = low
	default:
		p.fault(colState, "%s is unknown; write slack, rod set or strung", unit.Quote(r.State))
	}
	r.By, r.Gauge, r.Date = p.text(colBy), p.text(colGauge), p.text(colDate)
	r.Temperature, r.Humidity = p.temperature(), p.humidity()
}

// turned reads whether the beam or edge lay end for end.
func (p *parser) turned(r *Reading) {
	switch t := strings.ToLower(p.cell(colTurned)); {
	case t == "" || t == "no":
	case t != "yes":
		p.fault(colTurned, "%s is unknown; write yes or no", unit.Quote(p.cell(colTurned)))
	case r.Method != Beam && r.Method != Edge:
		p.fault(colTurned, "%s rows cannot lie end for end; leave the cell empty", r.Method)
	default:
		r.Turned = true
	}
}

// temperature reads "21 C" or "70 F"; a bare number is kept as written.
func (p *parser) temperature() string {
	t := p.text(colTemperature)
	if t == "" {
		return ""
	}
	if _, err := unit.Number(t); err == nil {
		return t
	}
	if _, err := unit.Temperature.Parse(t); err != nil {
		p.fault(colTemperature, "%s", err)
	}
	return t
}

// humidity reads a relative humidity in per cent, with or without the sign.
func (p *parser) humidity() string {
	t := p.text(colHumidity)
	if t == "" {
		return ""
	}
	v, err := unit.Percent.Parse(t)
	switch {
	case err != nil:
		p.fault(colHumidity, "%s", err)
	case v < 0 || v > 100:
		p.fault(colHumidity, "%s is outside 0 to 100 %%", t)
	}
	return t
}

// text reads a short text.
func (p *parser) text(c column) string {
	t := p.cell(c)
	switch {
	case len(t) > longestText && len([]rune(t)) > longestText:
		p.fault(c, "is longer than %d characters", longestText)
	case strings.ContainsFunc(t, unicode.IsControl):
		p.fault(c, "%s holds a control character", strconv.Quote(t))
	default:
		return strings.Clone(t) // lets go of the rest of the row
	}
	return ""
}

// number reads a plain number, which may have a decimal comma where the cells
// are not parted by commas.
func (p *parser) number(c column) (float64, bool) {
	text := p.cell(c)
	if text == "" {
		p.empty(c)
		return 0, false
	}
	clean := text
	if strings.IndexByte(text, ',') >= 0 {
		if p.comma != ',' && strings.Count(text, ",") == 1 && strings.IndexByte(text, '.') < 0 {
			clean = strings.Replace(text, ",", ".", 1)
		}
	}
	v, err := unit.Number(clean)
	if err != nil {
		p.fault(c, "%s", err)
		return 0, false
	}
	return v, p.oneMark(c, text)
}

// oneMark refuses decimal points beside decimal commas: one of them then
// stands for thousands, and nobody knows which. It says so once a file.
func (p *parser) oneMark(c column, text string) bool {
	line, mine, other := p.line(p.header.at[c]), &p.point, &p.decimal
	says, otherSays := "point", "comma"
	switch {
	case strings.IndexByte(text, ',') >= 0:
		mine, other, says, otherSays = other, mine, otherSays, says
	case strings.IndexByte(text, '.') < 0:
		return true
	}
	if *mine == 0 {
		*mine = line
	}
	if *other == 0 || p.mixed {
		return true
	}
	p.mixed = true
	p.fault(c, "%s has a decimal %s, line %d a decimal %s; use one of them", unit.Quote(text), says, *other, otherSays)
	return false
}

// size reads a length in the row's unit of scale mm, from lo to hi mm.
func (p *parser) size(c column, scale float64, lo, hi float64) (mm float64, ok bool) {
	v, ok := p.number(c)
	if !ok {
		return 0, false
	}
	mm = v * scale
	switch {
	case mm < 0 && c == colU:
		p.fault(c, "%s is negative; a standard uncertainty is more than 0", p.cell(c))
	case mm < lo && lo == 0:
		p.fault(c, "%s is negative; write 0 or more", p.cell(c))
	case mm < lo || mm > hi:
		p.fault(c, "%s %s is outside %s to %s mm", p.cell(c), p.cell(colUnit), unit.Decimal(lo), unit.Decimal(hi))
	default:
		return mm, true
	}
	return 0, false
}

// empty notes a cell that the row's method needs, or its whole column.
func (p *parser) empty(c column) {
	if p.header.at[c] >= 0 {
		p.fault(c, "is empty; %s rows need it", strings.ToLower(p.cell(colMethod)))
		return
	}
	if !p.header.missing[c] {
		p.header.missing[c] = true
		p.faults.Add(p.file, p.header.line, c.name(), "the column is missing; %s rows need it (line %d)",
			strings.ToLower(p.cell(colMethod)), p.line(0))
	}
}
