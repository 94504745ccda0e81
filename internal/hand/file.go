package hand

import (
	"io"
	"strings"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/table"
	"ringtrue/internal/unit"
)

// Columns are those of a file of strokes: the first four must be there.
func Columns() []string {
	return []string{"tool", "from_fret", "to_fret", "strokes", "lanes", "paper", "by", "flat", "unit", "ink"}
}

// maxFret is the largest fret number that a file of strokes may name.
const maxFret = 99

// Read reads a file of strokes: one thing done a row, in order. name is the file's,
// for messages. All faults come back as a fileerr.List, errors of r wrapped.
func Read(name string, r io.Reader) (Strokes, error) {
	t, err := table.Open(name, r, table.Schema{What: "file of strokes", Columns: Columns(), Required: Columns()[:4]})
	if err != nil {
		return nil, err
	}
	var all Strokes
	for t.Next() {
		before := t.Faults()
		s := Stroke{Tool: strings.ToLower(t.Text("tool")), Paper: tidy(t.Text("paper")), By: tidy(t.Text("by"))}
		s.FromFret, _ = t.Whole("from_fret", 0, maxFret)
		s.ToFret, _ = t.Whole("to_fret", 0, maxFret)
		if t.Cell("strokes") != "" || s.counts() {
			s.Strokes, _ = t.Whole("strokes", 1, maxStrokes)
		}
		readLanes(t, &s)
		if ink := t.Cell("ink"); ink != "" {
			if err := s.more(", ink "+strings.ReplaceAll(ink, ",", " "), false); err != nil {
				t.Fault("ink", "%v", err)
			}
		}
		readFlat(t, &s)
		if s.Tool == "" {
			t.Fault("tool", "which tool? use %s", toolList())
		} else if err := s.check(); err != nil && t.Faults() == before {
			t.Fault("tool", "%v", err)
		}
		if len(all) == maxEntries {
			return nil, fileerr.List{{File: name, Line: t.Line(), Msg: "has more than 40 rows, too many for one neck"}}
		}
		all = append(all, s)
	}
	if err := t.Err(); err != nil {
		return nil, err
	}
	return all, nil
}

func readLanes(t *table.Table, s *Stroke) {
	text := strings.ReplaceAll(t.Cell("lanes"), " ", "")
	if text == "" {
		return
	}
	var ok bool
	if s.FirstLane, s.LastLane, ok = span(text); !ok || s.FirstLane < 1 {
		t.Fault("lanes", "%s is not a lane or a range of lanes like 1-3", unit.Quote(text))
	}
}

func readFlat(t *table.Table, s *Stroke) {
	if t.Cell("flat") == "" {
		return
	}
	if err := s.flat(t.Cell("flat") + " " + t.Cell("unit")); err != nil {
		t.Fault("unit", "%v", err)
	}
}
