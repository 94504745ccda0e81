package draft

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"ringtrue/internal/name"
	"ringtrue/internal/reading"
)

// Most that a neck in work may hold.
const (
	maxPasses = 400
	maxLanes  = 35 // whole and half lanes of 18 strings
	longest   = 80 // letters of a name
)

// check says what is wrong with a pass.
func (s *State) check(p Pass) error {
	b, spec := s.Bounds(), reading.Method(p.Method).Spec()
	switch {
	case !spec.Led:
		return refused("unknown method %q", p.Method)
	case p.Unit != "mm" && p.Unit != "in":
		return refused("a pass must be in mm or in")
	case len(s.Passes) >= maxPasses:
		return refused("a neck can have at most %d passes", maxPasses)
	case len(p.Lanes) == 0 || len(p.Lanes) > maxLanes:
		return refused("a pass must read 1 to %d lanes", maxLanes)
	case p.From < b.FirstFret || p.To > b.LastFret || p.From > p.To || p.Every < 1:
		return refused("frets must be within %d to %d, the first one first", b.FirstFret, b.LastFret)
	case p.Across && spec.SetUp != reading.NoSetUp:
		return refused("a %s lies along a lane, so it can't be read across; use another order", p.Method)
	}
	seen := map[float64]bool{}
	for _, l := range p.Lanes {
		if !(l >= 1 && l <= float64(b.Strings)) || seen[l] {
			return refused("lanes must be 1 to %d, each once", b.Strings)
		}
		seen[l] = true
	}
	for _, w := range []struct{ what, text string }{{"gauge", p.Gauge}, {"by", p.By}} {
		if err := CheckName(w.what, w.text); err != nil {
			return err
		}
	}
	sites := s.walk(&p)
	if len(sites) == 0 {
		return refused("nothing to read: a %s needs three frets side by side", p.Method)
	}
	// The parser of readings files has the last word on what is asked once.
	probe := &Entry{Reading: "0.05", Unit: p.Unit} // in either unit what any gauge can read
	_, err := s.Reading(&p, sites[0], probe)
	return err
}

// CheckName refuses names that a readings file or a spreadsheet would take for
// something else.
func CheckName(what, text string) error {
	switch {
	case utf8.RuneCountInString(text) > longest:
		return refused("%s: must be at most %d characters", what, longest)
	case !utf8.ValidString(text) || strings.ContainsFunc(text, unicode.IsControl):
		return refused("%s: use plain text only", what)
	case text != "" && strings.ContainsRune("=+-@", rune(text[0])):
		return refused("%s: must not begin with %c, which a spreadsheet takes for a formula", what, text[0])
	}
	return nil
}

// typed refuses names that do not look like what they are. It is asked where a maker
// types them, never of a journal: what is in one stays readable.
func typed(what, text string) error {
	if why := name.Typed(text); why != "" {
		return refused("%s: %s", what, why)
	}
	return nil
}

// typedSerial is typed, and CheckName, for what names a folder in the book too.
func typedSerial(what, text string) error {
	if why := name.TypedSerial(text); why != "" {
		return refused("%s: %s", what, why)
	}
	return CheckName(what, text)
}

// Reading is a reading of a pass as a readings file has it. A fault is a
// fileerr.List.
func (s *State) Reading(p *Pass, at Site, e *Entry) (reading.Reading, error) {
	return reading.Typed("reading", p.row(at, e), s.Bounds())
}
