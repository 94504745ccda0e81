package reading

import (
	"strings"
	"time"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/unit"
)

// Bounds of what passes as a reading, in mm: beyond lies a slip of the pen or
// a wrong unit.
const (
	maxReading = 100  // any height or gap
	maxCrown   = 10   // a crown's height
	maxSpan    = 500  // between the feet of a gauge
	maxTouch   = 5000 // a probe's coordinate in its own frame
	maxU       = 10   // a standard uncertainty
	minU       = 1e-6 // one that is given: below it lies no gauge
)

// States of a neck: under its strings, when its frets are in, and without them.
const (
	Strung = "strung"
	Slack  = "slack"
)

// cell is the text of a column in this row, empty where it has none.
func (p *parser) cell(c column) string { return p.Cell(c.name()) }

// text is a short text.
func (p *parser) text(c column) string { return p.Text(c.name()) }

// row reads one row.
func (p *parser) row() {
	before := p.Faults()
	r := Reading{Line: p.Line(), U: DefaultU}
	scale, okUnit := p.unitOf()
	okMethod := p.method(&r)
	if !okUnit || !okMethod {
		return
	}
	p.common(&r, scale)
	p.byMethod(&r, scale)
	if p.Faults() == before {
		p.notePass(&r)
		p.readings = append(p.readings, r)
	}
}

// unitOf is how many mm the row's unit is.
func (p *parser) unitOf() (mm float64, ok bool) {
	switch u := p.cell(colUnit); {
	case strings.EqualFold(u, "mm"):
		return 1, true
	case strings.EqualFold(u, "in"):
		return unit.MMPerInch, true
	case u == "":
		p.fault(colUnit, "is empty; use mm or in")
	default:
		p.fault(colUnit, "%s is not a unit of length here; use mm or in", unit.Quote(u))
	}
	return 0, false
}

// method reads how the reading was taken.
func (p *parser) method(r *Reading) bool {
	text := p.cell(colMethod)
	known := make([]string, 0, len(specs))
	for i := range specs {
		if m := specs[i].Method; strings.EqualFold(text, string(m)) {
			r.Method = m
			return true
		}
		known = append(known, string(specs[i].Method))
	}
	switch near := fileerr.Nearest(text, known); {
	case text == "":
		p.fault(colMethod, "is empty; use one of %s", strings.Join(known, ", "))
	case near != "":
		p.fault(colMethod, "%s is unknown; did you mean %s?", unit.Quote(text), near)
	default:
		p.fault(colMethod, "%s is unknown; use one of %s", unit.Quote(text), strings.Join(known, ", "))
	}
	return false
}

// common reads the columns that any method may have.
func (p *parser) common(r *Reading, scale float64) {
	if p.cell(colU) != "" {
		if v, ok := p.size(colU, scale, 0, maxU); ok && v == 0 {
			p.fault(colU, "is 0; a standard uncertainty is more than 0")
		} else if ok && v < minU && p.bounds.New {
			p.fault(colU, "%s is smaller than any gauge's; a dial's is about 0.003 mm", unit.Quote(p.cell(colU)))
		} else if ok {
			r.U, r.UGiven = v, true
		}
	}
	r.Pass = p.text(colPass)
	p.turned(r)
	r.State = p.text(colState)
	switch low := strings.ToLower(r.State); low {
	case "", Slack, "rod set", Strung:
		r.State = low
	default:
		p.fault(colState, "%s is unknown; use slack, rod set or strung", unit.Quote(r.State))
	}
	r.By, r.Gauge, r.Date = p.text(colBy), p.text(colGauge), p.date()
	r.Temperature, r.Humidity = p.temperature(), p.humidity()
}

// turned reads whether the gauge lay end for end.
func (p *parser) turned(r *Reading) {
	switch t := strings.ToLower(p.cell(colTurned)); {
	case t == "" || t == "no":
	case t != "yes":
		p.fault(colTurned, "%s is unknown; use yes or no", unit.Quote(p.cell(colTurned)))
	case !r.Method.Spec().Turned:
		p.fault(colTurned, "%s rows cannot lie end for end; leave the cell empty", r.Method)
	default:
		r.Turned = true
	}
}

// date reads the day of a reading. One that is none, or may be two, is refused.
func (p *parser) date() string {
	text := p.text(colDate)
	if text == "" || !p.bounds.New {
		return text
	}
	if _, ok := Day(text); !ok {
		p.fault(colDate, "%s is not a date; write it like 2026-03-14", unit.Quote(text))
	}
	return text
}

// Day reads a date, with or without the time: the year first, or day.month.year.
// 3/4/2026 is none, as nobody knows which comes first.
func Day(text string) (day time.Time, ok bool) {
	if strings.Contains(text, ":") {
		return Moment(text)
	}
	return dated(text, "")
}

// Moment reads a date that has a time of day, of its own zone or of none.
func Moment(text string) (t time.Time, ok bool) {
	if !strings.Contains(text, ":") {
		return t, false
	}
	text = strings.Replace(text, "T", " ", 1)
	for _, clock := range []string{" 15:04", " 15:04:05", " 15:04Z07:00", " 15:04:05Z07:00"} {
		if t, ok = dated(text, clock); ok {
			break
		}
	}
	return t, ok
}

// dated reads a day with a time of one form after it.
func dated(text, clock string) (t time.Time, ok bool) {
	for _, day := range []string{"2006-1-2", "2.1.2006", "2006/1/2"} {
		if t, err := time.Parse(day+clock, text); err == nil {
			return t, true
		}
	}
	return time.Time{}, false
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

// number reads a plain number.
func (p *parser) number(c column) (float64, bool) {
	if p.cell(c) == "" {
		p.empty(c)
		return 0, false
	}
	return p.Number(c.name())
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
	if p.Has(c.name()) {
		p.fault(c, "is empty; %s rows need it", strings.ToLower(p.cell(colMethod)))
		return
	}
	if !p.missing[c] {
		p.missing[c] = true
		p.FaultOfFile(p.header, c.name(), "the column is missing; %s rows need it (line %d)",
			strings.ToLower(p.cell(colMethod)), p.Line())
	}
}
