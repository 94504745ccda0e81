package draft

import (
	"bytes"
	"encoding/csv"
	"strconv"
	"strings"

	"ringtrue/internal/reading"
	"ringtrue/internal/unit"
)

// row is a line of a readings file, by column.
type row [19]string

// columns of a row, in the order of the readings file.
func columns() row {
	return row{"method", "lane", "fret", "reading", "unit", "pass", "u", "no_go", "span", "x", "y", "z",
		"turned", "state", "by", "gauge", "date", "temperature", "humidity"}
}

// Place is where a line of a readings file came from: a reading of a pass, or
// where Pass is 0 a line of a file taken in.
type Place struct {
	Pass   int
	Site   Site
	Taken  int  // the version at which it was taken: they tell the order
	Stands bool // it was asked of, and is kept
}

// CSV writes a stage's readings as a readings file: what was typed and what was
// taken in, the same bytes each time. places tells for each line of the file,
// from line 2, where it came from. A stage without readings has no file: nil.
func (s *State) CSV(stage int) (data []byte, places []Place) {
	var rows []row
	for _, f := range s.imports {
		if f.stage != stage {
			continue
		}
		for _, r := range f.readings {
			rows = append(rows, rowOf(r))
			places = append(places, Place{Taken: f.version})
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
				rows = append(rows, p.row(at, e.First))
				places = append(places, Place{p.Number, at, e.First.Taken, true})
			}
			rows = append(rows, p.row(at, e))
			places = append(places, Place{p.Number, at, e.Taken, e.Stands})
		}
	}
	if len(rows) == 0 {
		return nil, nil
	}
	data, _ = writeRows(rows)
	return data, places
}

// row is a reading of a pass as a line.
func (p *Pass) row(at Site, e *Entry) row {
	turned := ""
	if p.Turned {
		turned = "yes"
	}
	u := p.U
	if u != "" && e.Unit != p.Unit { // the pass's figure is in the pass's unit
		u = converted(u, p.Unit, e.Unit)
	}
	return row{p.Method, unit.Decimal(at.Lane()), at.Named(), e.Reading, e.Unit, p.Label, u, e.NoGo, "", "", "", "",
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

// rowOf is a reading of a file taken in as a line, in mm.
func rowOf(r reading.Reading) row {
	out := row{0: string(r.Method), 4: "mm", 5: r.Pass, 13: r.State, 14: r.By, 15: r.Gauge, 16: r.Date, 17: r.Temperature, 18: r.Humidity}
	if r.UGiven {
		out[6] = unit.Decimal(r.U)
	}
	if r.Turned {
		out[12] = "yes"
	}
	if r.Method == reading.Probe {
		out[9], out[10], out[11] = unit.Decimal(r.X), unit.Decimal(r.Y), unit.Decimal(r.Z)
		return out
	}
	if r.Lane > 0 {
		out[1] = unit.Decimal(r.Lane)
	}
	var frets []string
	for _, f := range r.Frets {
		frets = append(frets, strconv.Itoa(f))
	}
	out[2] = strings.Join(frets, "-")
	switch r.Answer {
	case reading.Rocks:
		out[3] = "rocks"
	case reading.Still:
		out[3] = "still"
	default:
		out[3] = unit.Decimal(r.Value)
	}
	if r.NoGo != nil {
		out[7] = unit.Decimal(*r.NoGo)
	}
	if r.Span > 0 {
		out[8] = unit.Decimal(r.Span)
	}
	return out
}

// writeRows writes lines under a header, leaving out columns that none uses.
func writeRows(rows []row) ([]byte, error) {
	var used [len(row{})]bool
	for _, r := range rows {
		for c, text := range r {
			used[c] = used[c] || text != ""
		}
	}
	var b bytes.Buffer
	out := csv.NewWriter(&b)
	record := make([]string, 0, len(used))
	for i := -1; i < len(rows); i++ {
		r := columns()
		if i >= 0 {
			r = rows[i]
		}
		record = record[:0]
		for c, text := range r {
			if used[c] {
				record = append(record, text)
			}
		}
		_ = out.Write(record) // kept by the writer until Error
	}
	out.Flush()
	return b.Bytes(), out.Error()
}
