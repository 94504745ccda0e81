package drift

import (
	"io"
	"math"
	"slices"
	"time"

	"ringtrue/internal/table"
	"ringtrue/internal/unit"
)

// Columns of a series file.
const (
	colValue = "value"
	colGroup = "group"
	colOutOf = "out_of"
	colUnit  = "unit"
	colLabel = "label"
	colDate  = "date"
	tagged   = "tag:" // and the tag's name: "tag:wire"
)

// maxOutOf is the most that can be looked at for one value.
const maxOutOf = 1_000_000

// Read reads a series file: a CSV table with a header row, its rows in order
// of time. Column value holds the values; optional are group (rational
// subgroups, equal ones together), out_of (how many were looked at, for a
// proportion), unit (the same in all rows), label, date (2024-03-31, or with
// a time as in RFC 3339; never going backwards) and any number of tag:NAME.
//
// file is its name, for messages. Faults come back as a fileerr.List, an error
// of r itself wrapped.
func Read(file string, r io.Reader) (Series, error) {
	t, err := table.Open(file, r, table.Schema{
		What:     "series",
		Columns:  []string{colValue, colGroup, colOutOf, colUnit, colLabel, colDate},
		Required: []string{colValue},
		Prefix:   tagged,
	})
	if err != nil {
		return Series{}, err
	}
	p := seriesReader{Table: t, lineOf: map[string]int{}, tags: t.Prefixed()}
	for t.Next() {
		p.row()
	}
	if err := t.Err(); err != nil {
		return Series{}, err
	}
	return p.series, nil
}

// seriesReader holds a series while it is read.
type seriesReader struct {
	*table.Table
	series Series
	tags   []string
	alike  map[string]string // tags of the row before
	lineOf map[string]int    // of each group's first row
	date   time.Time
	dated  int    // line of the last date
	open   string // the group of the row before
}

func (p *seriesReader) row() {
	before := p.Faults()
	var q Point
	q.Value, _ = p.Number(colValue)
	if p.Has(colOutOf) {
		q.OutOf = p.outOf(q.Value, p.Faults() == before)
	}
	p.unit()
	if p.Has(colGroup) {
		q.Group = p.group()
	}
	q.Label = p.Text(colLabel)
	q.Date = p.dateOf()
	q.Tags = p.tagsOf()
	if p.Faults() == before {
		p.series.Points = append(p.series.Points, q)
	}
}

// tagsOf reads the row's tags; rows that are alike share them.
func (p *seriesReader) tagsOf() map[string]string {
	if slices.ContainsFunc(p.tags, func(column string) bool { return p.Cell(column) != p.alike[column[len(tagged):]] }) {
		p.alike = make(map[string]string, len(p.tags))
		for _, column := range p.tags {
			p.alike[column[len(tagged):]] = p.Text(column)
		}
	}
	return p.alike
}

// outOf reads how many were looked at, and holds the value against it.
func (p *seriesReader) outOf(value float64, known bool) int {
	n, ok := p.Whole(colOutOf, 1, maxOutOf)
	if ok && known && (value != math.Trunc(value) || value < 0 || value > float64(n)) {
		p.Fault(colValue, "%s out of %d: write how many of them were faulty, a whole number from 0 to %d", p.Cell(colValue), n, n)
	}
	return n
}

// unit holds the row's unit against that of the first row.
func (p *seriesReader) unit() {
	if !p.Has(colUnit) {
		return
	}
	u := p.Text(colUnit)
	switch {
	case u == "":
		p.Fault(colUnit, "is empty; write the value's unit")
	case p.series.Unit == "":
		p.series.Unit = u
	case u != p.series.Unit:
		p.Fault(colUnit, "%s follows %s; keep one unit in a series", unit.Quote(u), unit.Quote(p.series.Unit))
	}
}

// group reads the row's subgroup, which may not come back once left.
func (p *seriesReader) group() string {
	g := p.Text(colGroup)
	if g == "" {
		p.Fault(colGroup, "is empty; write which group the value belongs to, or leave the column out")
		return ""
	}
	at, seen := p.lineOf[g]
	switch {
	case !seen:
		p.lineOf[g] = p.Line()
	case p.open != g:
		p.Fault(colGroup, "%s is at line %d already, before another group; keep a group's rows together", unit.Quote(g), at)
	}
	p.open = g
	return g
}

// dateOf reads the row's date, none being no fault.
func (p *seriesReader) dateOf() time.Time {
	text := p.Cell(colDate)
	if text == "" {
		return time.Time{}
	}
	d, err := time.Parse(time.DateOnly, text)
	if err != nil {
		d, err = time.Parse(time.RFC3339, text)
	}
	switch {
	case err != nil:
		p.Fault(colDate, "%s is not a date; write it like 2024-03-31", unit.Quote(text))
		return time.Time{}
	case d.Before(p.date):
		p.Fault(colDate, "%s is earlier than line %d; put the rows in order of time", text, p.dated)
	default:
		p.date, p.dated = d, p.Line()
	}
	return d
}
