package draft

import (
	"bytes"

	"ringtrue/internal/reading"
	"ringtrue/internal/unit"
)

// Place is where a reading came from: a pass's site, or where Pass is 0 a file
// taken in.
type Place struct {
	Pass   int
	Site   Site
	Taken  int  // the version at which it was taken: they tell the order
	Stands bool // it was asked of, and is kept
}

// line is a reading of a stage: of a pass, or where entry is nil of a file taken
// in.
type line struct {
	reading reading.Reading
	pass    *Pass
	entry   *Entry
	place   Place
}

// lines lists a stage's readings, those of files first.
func (s *State) lines(stage int) []line {
	var all []line
	for _, f := range s.imports {
		if f.stage == stage {
			for _, r := range f.readings {
				all = append(all, line{reading: r, place: Place{Taken: f.version}})
			}
		}
	}
	for _, p := range s.Passes {
		if p.Stage != stage {
			continue
		}
		for _, at := range s.Sites(p) {
			e := s.Entry(p.Number, at)
			if e == nil || e.Misread {
				continue
			}
			if e.First != nil {
				all = append(all, line{e.First.reading, p, e.First, Place{p.Number, at, e.First.Taken, true}})
			}
			all = append(all, line{e.reading, p, e, Place{p.Number, at, e.Taken, e.Stands}})
		}
	}
	return all
}

// Taken gives a stage's readings, typed and taken in, and where each came from.
// Their lines are those of the file that CSV writes, the first being 2; what no
// file says is which of them stand.
func (s *State) Taken(stage int) (readings []reading.Reading, places []Place) {
	for i, l := range s.lines(stage) {
		l.reading.Line, l.reading.Stands = i+2, l.place.Stands
		readings, places = append(readings, l.reading), append(places, l.place)
	}
	return readings, places
}

// CSV writes a stage's readings as a readings file: what was typed and what was
// taken in, the same bytes each time. A stage without readings has no file: nil.
func (s *State) CSV(stage int) []byte {
	var rows []reading.Row
	for _, l := range s.lines(stage) {
		if l.entry == nil {
			rows = append(rows, l.reading.Row())
		} else {
			rows = append(rows, l.pass.row(l.place.Site, l.entry))
		}
	}
	if len(rows) == 0 {
		return nil
	}
	var b bytes.Buffer
	_ = reading.WriteRows(&b, rows) // a buffer never fails
	return b.Bytes()
}

// row is a reading of a pass as a line.
func (p *Pass) row(at Site, e *Entry) reading.Row {
	turned := ""
	if p.Turned {
		turned = "yes"
	}
	u := p.U
	if u != "" && e.Unit != p.Unit { // the pass's figure is in the pass's unit
		u = converted(u, p.Unit, e.Unit)
	}
	return reading.Row{p.Method, unit.Decimal(at.Lane()), at.Named(), e.Reading, e.Unit, p.Label, u, e.NoGo, "", "", "", "",
		turned, p.State, p.By, p.Gauge, p.Date, p.Temperature, p.Humidity}
}

// converted is a number of one unit of length in another.
func converted(text, from, to string) string {
	v, err := unit.Number(text)
	switch {
	case err != nil:
		return text
	case from == "in" && to == "mm":
		v *= unit.MMPerInch
	case from == "mm" && to == "in":
		v /= unit.MMPerInch
	}
	return unit.Decimal(v)
}
