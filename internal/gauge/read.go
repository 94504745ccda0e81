package gauge

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"ringtrue/internal/table"
	"ringtrue/internal/unit"
)

// Kind is the kind of a study.
type Kind string

// The kinds of study.
const (
	KindCrossed   Kind = "crossed"   // every operator reads every part equally often
	KindNested    Kind = "nested"    // parts read on several days, perhaps in runs of days
	KindRepeat    Kind = "repeat"    // one crown, one hand, again and again
	KindLinearity Kind = "linearity" // things of known size
)

// Kinds lists the kinds of study.
func Kinds() []Kind { return []Kind{KindCrossed, KindNested, KindRepeat, KindLinearity} }

// Columns of a study file.
const (
	colPart      = "part"
	colOperator  = "operator"
	colTrial     = "trial"
	colReading   = "reading"
	colUnit      = "unit"
	colRun       = "run"
	colDay       = "day"
	colReference = "reference"
	colU         = "u"
)

func columns() []string {
	return []string{colPart, colOperator, colTrial, colReading, colUnit, colRun, colDay, colReference, colU}
}

// needs lists the columns that a kind of study cannot do without, besides
// reading and unit.
func (k Kind) needs() []string {
	switch k {
	case KindCrossed:
		return []string{colPart, colOperator, colTrial}
	case KindNested:
		return []string{colPart, colDay}
	case KindLinearity:
		return []string{colReference}
	}
	return nil
}

// Study is what a study file holds.
type Study struct {
	Kind     Kind
	Unit     string // of every reading, reference and uncertainty
	Readings []Reading
}

// Inches is a study in mm turned into inches; any other as it is.
func (s Study) Inches() Study {
	if s.Unit != "mm" {
		return s
	}
	s.Unit, s.Readings = "in", slices.Clone(s.Readings)
	for i := range s.Readings {
		r := &s.Readings[i]
		r.Value /= unit.MMPerInch
		r.U /= unit.MMPerInch
		if r.Reference != nil {
			size := *r.Reference / unit.MMPerInch
			r.Reference = &size
		}
	}
	return s
}

// maxLength is the longest that a gauge of a bench reads, in mm.
const maxLength = 10_000

// Read reads a study file: a CSV table with columns reading and unit (mm or
// in), and by kind part, operator and trial; part, day and optionally run;
// reference and optionally u, its standard uncertainty, both in the row's
// unit; or no more. kind "" goes by the columns: a reference means linearity, a
// day nested, an operator or a trial of a part crossed, none of these repeat.
// Where rows differ in unit all are turned into mm.
//
// file is its name, for messages. Faults come back as a fileerr.List, an error
// of r itself wrapped. A crossed study is held to be whole: each part read by
// each operator in each trial, once.
func Read(file string, r io.Reader, kind Kind) (Study, error) {
	t, err := table.Open(file, r, table.Schema{What: "gauge study", Columns: columns(), Required: []string{colReading, colUnit}})
	if err != nil {
		return Study{}, err
	}
	if kind == "" {
		kind = kindOf(t)
	}
	p := studyReader{Table: t, study: Study{Kind: kind}}
	if missing := p.missing(); missing != "" {
		t.FaultOfFile(t.Line(), missing, "the column is missing; a %s study needs %s", kind, strings.Join(append(kind.needs(), colReading, colUnit), ", "))
		return Study{}, t.Err()
	}
	for t.Next() {
		p.row()
	}
	if t.Faults() == 0 && kind == KindCrossed {
		p.whole()
	}
	if err := t.Err(); err != nil {
		return Study{}, err
	}
	p.oneUnit()
	return p.study, nil
}

// kindOf tells the kind of a study from its columns.
func kindOf(t *table.Table) Kind {
	switch {
	case t.Has(colReference):
		return KindLinearity
	case t.Has(colDay), t.Has(colRun):
		return KindNested
	case t.Has(colOperator), t.Has(colPart):
		return KindCrossed
	}
	return KindRepeat
}

// studyReader holds a study while it is read.
type studyReader struct {
	*table.Table
	study Study
	units []string // of each reading
}

func (p *studyReader) missing() string {
	for _, c := range p.study.Kind.needs() {
		if !p.Has(c) {
			return c
		}
	}
	return ""
}

func (p *studyReader) row() {
	before := p.Faults()
	r := Reading{Line: p.Line(), Run: p.Text(colRun)}
	r.Part, r.Operator, r.Day = p.name(colPart), p.name(colOperator), p.name(colDay)
	r.Trial = sameTrial(p.name(colTrial))
	mm, ok := scaleOf(p.Cell(colUnit))
	switch u := p.Cell(colUnit); {
	case u == "":
		p.Fault(colUnit, "is empty; use mm or in")
	case !ok:
		p.Fault(colUnit, "%s is not a unit of length here; use mm or in", unit.Quote(u))
	}
	r.Value = p.length(colReading, mm)
	if p.study.Kind == KindLinearity {
		v := p.length(colReference, mm)
		r.Reference = &v
		if p.Cell(colU) != "" {
			if r.U = p.length(colU, mm); r.U < 0 {
				p.Fault(colU, "%s is negative; a standard uncertainty is 0 or more", p.Cell(colU))
			}
		}
	}
	if p.Faults() == before {
		p.study.Readings = append(p.study.Readings, r)
		p.units = append(p.units, strings.ToLower(p.Cell(colUnit)))
	}
}

// name reads a name that the kind of study needs.
func (p *studyReader) name(column string) string {
	text := p.Text(column)
	for _, c := range p.study.Kind.needs() {
		if c == column && text == "" && p.Cell(column) == "" {
			p.Fault(column, "is empty; every row of a %s study names it", p.study.Kind)
		}
	}
	return text
}

// length reads a number of the row's unit, which is mm long.
func (p *studyReader) length(column string, mm float64) float64 {
	v, ok := p.Number(column)
	if ok && (v*mm > maxLength || v*mm < -maxLength) {
		p.Fault(column, "%s %s is outside −%d to %d mm", p.Cell(column), p.Cell(colUnit), maxLength, maxLength)
	}
	return v
}

// scaleOf is how many mm a unit is.
func scaleOf(name string) (mm float64, ok bool) {
	switch strings.ToLower(name) {
	case "mm":
		return 1, true
	case "in":
		return unit.MMPerInch, true
	}
	return 1, false
}

// whole notes what a crossed study lacks, or has twice.
func (p *studyReader) whole() {
	type place struct{ part, operator, trial string }
	line := map[place]int{}
	var parts, operators, trials names
	for _, r := range p.study.Readings {
		at := place{r.Part, r.Operator, r.Trial}
		if first, twice := line[at]; twice {
			p.FaultOfFile(r.Line, colTrial, "part %s, operator %s, trial %s is at line %d already", r.Part, r.Operator, r.Trial, first)
			continue
		}
		line[at] = r.Line
		parts.add(r.Part)
		operators.add(r.Operator)
		trials.add(r.Trial)
	}
	if most := len(parts.list) * len(operators.list) * len(trials.list); most > table.MaxRows {
		p.FaultOfFile(0, "", "names %d parts, %d operators and %d trials; a crossed study needs a reading of each with each", len(parts.list), len(operators.list), len(trials.list))
		return
	}
	for _, part := range parts.list {
		for _, operator := range operators.list {
			for _, trial := range trials.list {
				if _, there := line[place{part, operator, trial}]; !there {
					p.FaultOfFile(0, "", "part %s, operator %s has no trial %s; a crossed study needs every one", part, operator, trial)
				}
			}
		}
	}
	if p.Faults() > 0 {
		return
	}
	switch {
	case len(parts.list) < 2:
		p.FaultOfFile(0, colPart, "there is only one part; a crossed study needs several, for one part use --study %s", KindRepeat)
	case len(trials.list) < 2:
		p.FaultOfFile(0, colTrial, "there is only one trial; each operator must read each part twice or more")
	}
}

// oneUnit brings all readings to one unit: their own where it is the same in
// all rows, else mm.
func (p *studyReader) oneUnit() {
	s := &p.study
	s.Unit = p.units[0]
	same := true
	for _, u := range p.units {
		same = same && u == s.Unit
	}
	if same {
		return
	}
	s.Unit = "mm"
	for i := range s.Readings {
		r, mm := &s.Readings[i], 1.0
		mm, _ = scaleOf(p.units[i])
		r.Value *= mm
		r.U *= mm
		if r.Reference != nil {
			*r.Reference *= mm
		}
	}
}

// Millimetres is how many mm a study's unit is.
func (s Study) Millimetres() float64 {
	mm, _ := scaleOf(s.Unit)
	return mm
}

// ParseKind finds a kind of study by its name.
func ParseKind(name string) (Kind, error) {
	var known []string
	for _, k := range Kinds() {
		if string(k) == name {
			return k, nil
		}
		known = append(known, string(k))
	}
	return "", fmt.Errorf("no such study %s; use one of %s", unit.Quote(name), strings.Join(known, ", "))
}
