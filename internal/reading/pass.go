package reading

import "ringtrue/internal/unit"

// Setup tells set-ups of a gauge apart: readings of one set-up share its
// offset, tilt or frame.
type Setup struct {
	Method Method
	Lane   float64 // 0 for a probe, whose pass is one frame for the whole neck
	Pass   string
	Turned bool
}

// Setup is the set-up that a reading belongs to. A beam that lies end for end
// was set up anew, whatever its pass is called.
func (r Reading) Setup() Setup {
	return Setup{Method: r.Method, Lane: r.Lane, Pass: r.Pass, Turned: r.Turned}
}

// passKey tells passes apart.
type passKey = Setup

// passValues are what one pass says once, each with the line that said it.
type passValues struct {
	first int // its first line
	text  [6]string
	line  [6]int
}

// passColumns are the columns that have one value a pass.
func passColumns() [6]column {
	return [6]column{colState, colBy, colGauge, colDate, colTemperature, colHumidity}
}

// onceFields are the fields of those columns.
func (r *Reading) onceFields() [6]*string {
	return [6]*string{&r.State, &r.By, &r.Gauge, &r.Date, &r.Temperature, &r.Humidity}
}

// oneWay refuses a named pass in which the gauge lay both ways: it was set up anew
// between, and a cell that was left out looks the same.
func (p *parser) oneWay(r *Reading) {
	if !p.bounds.New || r.Pass == "" {
		return
	}
	other := r.Setup()
	other.Turned = !other.Turned
	if v := p.passes[other]; v != nil {
		p.fault(colTurned, "pass %s is turned here and not in line %d, or the reverse; write yes in all its rows, or make two passes",
			unit.Quote(r.Pass), v.first)
	}
}

// notePass holds a reading against what its pass has said before.
func (p *parser) notePass(r *Reading) {
	p.oneWay(r)
	v := p.passes[r.Setup()]
	if v == nil {
		v = &passValues{first: r.Line}
		p.passes[r.Setup()] = v
	}
	cols := passColumns()
	for i, f := range r.onceFields() {
		switch {
		case *f == "":
		case v.text[i] == "":
			v.text[i], v.line[i] = *f, r.Line
		case v.text[i] != *f:
			p.fault(cols[i], "%s, but line %d of the same pass says %s; use one value per pass, or two passes",
				unit.Quote(*f), v.line[i], unit.Quote(v.text[i]))
		}
	}
}

// fillPasses gives every reading what its pass says once.
func (p *parser) fillPasses() {
	for i := range p.readings {
		r := &p.readings[i]
		v := p.passes[r.Setup()]
		for k, f := range r.onceFields() {
			*f = v.text[k]
		}
	}
}
