package hand

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"ringtrue/internal/unit"
)

// Tools that work is written down of. The last two take no strokes.
const (
	File    = "file"
	Beam    = "beam"
	Block   = "block"
	Press   = "press"
	Replace = "replace"
)

// Tools are all of them.
func Tools() []string { return []string{File, Beam, Block, Press, Replace} }

// ErrStrokes says that what was done cannot be read.
var ErrStrokes = errors.New("strokes")

const (
	maxEntries = 40
	maxStrokes = 20000
	maxName    = 40
	maxFlatMM  = 3
)

// Stroke is one thing that was done: a tool over some frets and lanes.
type Stroke struct {
	Tool                string
	FromFret, ToFret    int
	FirstLane, LastLane int     // 0: every lane
	Strokes             int     // double strokes of a beam or block, strokes of a file, all lanes together
	FlatMM, FlatToMM    float64 // the widths at which the hand stopped, in the first and the last lane; 0: not said
	Paper, By           string
	Ink                 []int // frets in the range that kept their ink, ascending
}

// frets are those that were worked.
func (s *Stroke) frets() (out []int) {
	for f := s.FromFret; f <= s.ToFret; f++ {
		if !slices.Contains(s.Ink, f) {
			out = append(out, f)
		}
	}
	return out
}

// Strokes is what was done to a neck, in order.
type Strokes []Stroke

// Parse reads what was done as a maker types it: "file 7: 40; beam 10-22: 120".
// Lanes go before the colon, "beam 10-22 lanes 1-3: 60"; the flat at which the hand
// stopped, the paper, who, and the frets in the range that kept their ink behind the
// number: "file 7: 40, flat 0.65-0.25 mm, by Ines", "beam 1-22: 90, paper P400, ink 5 19". press and replace take frets alone. Errors wrap ErrStrokes.
func Parse(text string) (Strokes, error) {
	var all Strokes
	for _, part := range strings.FieldsFunc(text, func(r rune) bool { return r == ';' || r == '\n' }) {
		if strings.TrimSpace(part) == "" {
			continue
		}
		s, err := parseOne(strings.TrimSpace(part))
		if err != nil {
			return nil, err
		}
		all = append(all, s)
	}
	switch {
	case len(all) == 0:
		return nil, fmt.Errorf("%w: write it like \"file 7: 40; beam 10-22: 120\"", ErrStrokes)
	case len(all) > maxEntries:
		return nil, fmt.Errorf("%w: more than %d entries", ErrStrokes, maxEntries)
	}
	return all, nil
}

func parseOne(part string) (s Stroke, err error) {
	wrong := func(format string, args ...any) (Stroke, error) {
		return s, fmt.Errorf("%w: %s: %s", ErrStrokes, unit.Quote(part), fmt.Sprintf(format, args...))
	}
	where, what, counted := strings.Cut(part, ":")
	words := slices.DeleteFunc(strings.Fields(strings.ToLower(where)), func(w string) bool {
		return w == "fret" || w == "frets" || w == "over" || w == "alone"
	})
	if len(words) == 0 || startsWithDigit(words[0]) {
		return wrong("which tool? use %s", toolList())
	}
	if s.Tool = words[0]; !slices.Contains(Tools(), s.Tool) {
		return wrong("no such tool %s; use %s", unit.Quote(s.Tool), toolList())
	}
	if len(words) < 2 {
		return wrong("over which frets? write %s 7 or %s 10-22", s.Tool, s.Tool)
	}
	var ok bool
	if s.FromFret, s.ToFret, ok = span(words[1]); !ok {
		return wrong("%s is not a fret or a range of frets like 10-22", unit.Quote(words[1]))
	}
	switch {
	case len(words) == 2:
	case len(words) == 4 && (words[2] == "lane" || words[2] == "lanes"):
		if s.FirstLane, s.LastLane, ok = span(words[3]); !ok || s.FirstLane < 1 {
			return wrong("%s is not a lane or a range of lanes like 1-3", unit.Quote(words[3]))
		}
	default:
		return wrong("write it like %s 10-22 lanes 1-3: 60", s.Tool)
	}
	if err := s.more(what, counted); err != nil {
		return wrong("%v", err)
	}
	if err := s.check(); err != nil {
		return wrong("%v", err)
	}
	return s, nil
}

// more reads what stands behind the colon.
func (s *Stroke) more(what string, counted bool) error {
	parts := strings.Split(what, ",")
	if first := strings.Fields(parts[0]); counted && len(first) > 0 {
		n, err := strconv.Atoi(first[0])
		if err != nil || len(first) > 2 || len(first) == 2 && !strings.HasPrefix(first[1], "stroke") {
			return fmt.Errorf("%s is not a number of strokes", unit.Quote(strings.TrimSpace(parts[0])))
		}
		s.Strokes = n
	}
	for _, p := range parts[1:] {
		key, value, _ := strings.Cut(strings.TrimSpace(p), " ")
		value = tidy(value)
		switch strings.ToLower(key) {
		case "flat":
			if err := s.flat(value); err != nil {
				return err
			}
		case "paper":
			s.Paper = value
		case "by":
			s.By = value
		case "ink":
			for _, word := range strings.Fields(value) {
				f, err := strconv.Atoi(word)
				if err != nil {
					return fmt.Errorf("ink: %s is not a fret; write ink 5 19", unit.Quote(word))
				}
				s.Ink = append(s.Ink, f)
			}
			slices.Sort(s.Ink)
			s.Ink = slices.Compact(s.Ink)
		default:
			return fmt.Errorf("%s is unknown; known are flat, paper, by, ink", unit.Quote(key))
		}
		if value == "" {
			return fmt.Errorf("%s is empty", key)
		}
	}
	return nil
}

// flat reads the width at which the hand stopped: "0.45 mm", or of the first lane and
// the last "0.65-0.25 mm".
func (s *Stroke) flat(value string) (err error) {
	first, last := value, value
	if from, to, two := strings.Cut(value, "-"); two {
		last = strings.TrimSpace(to)
		unitAt := strings.IndexFunc(last, unicode.IsLetter)
		if unitAt < 0 {
			return fmt.Errorf("flat: %s has no unit; write %s mm or %s in", unit.Quote(value), value, value)
		}
		first = strings.TrimSpace(from) + " " + last[unitAt:]
	}
	if s.FlatMM, err = unit.Length.Parse(first); err == nil {
		s.FlatToMM, err = unit.Length.Parse(last)
	}
	if err != nil {
		return fmt.Errorf("flat: %w", err)
	}
	return nil
}

// counts says whether a tool's strokes are counted.
func (s *Stroke) counts() bool { return s.Tool != Press && s.Tool != Replace }

// check says what is wrong with an entry by itself.
func (s *Stroke) check() error {
	switch {
	case !slices.Contains(Tools(), s.Tool):
		return fmt.Errorf("no such tool %s; use %s", unit.Quote(s.Tool), toolList())
	case s.FromFret < 0 || s.ToFret < s.FromFret:
		return fmt.Errorf("%d-%d is not a range of frets", s.FromFret, s.ToFret)
	case s.LastLane < s.FirstLane || s.FirstLane < 0:
		return fmt.Errorf("%d-%d is not a range of lanes", s.FirstLane, s.LastLane)
	case s.counts() && (s.Strokes < 1 || s.Strokes > maxStrokes):
		return fmt.Errorf("how many strokes? write 1 to %d after the colon", maxStrokes)
	case !s.counts() && (s.Strokes != 0 || s.FlatMM != 0):
		return fmt.Errorf("%s takes no strokes and no flat", s.Tool)
	case len(s.Ink) > 0 && (s.Ink[0] < s.FromFret || s.Ink[len(s.Ink)-1] > s.ToFret || len(s.Ink) > s.ToFret-s.FromFret):
		return fmt.Errorf("ink: name some of frets %d-%d, not all", s.FromFret, s.ToFret)
	}
	for _, mm := range []float64{s.FlatMM, s.FlatToMM} {
		if mm != 0 && !(mm >= 0.01 && mm <= maxFlatMM) {
			return fmt.Errorf("a flat of %g mm is outside 0.01 to %d mm", mm, maxFlatMM)
		}
	}
	for _, name := range []string{s.Paper, s.By} {
		if utf8.RuneCountInString(name) > maxName || !utf8.ValidString(name) || strings.ContainsAny(name, ";,:\n") || strings.ContainsFunc(name, unicode.IsControl) {
			return fmt.Errorf("%s: at most %d letters, without ; : or a comma", unit.Quote(name), maxName)
		}
	}
	return nil
}

// Check holds what was done against a neck: its frets from first to last, its
// lanes. Errors wrap ErrStrokes.
func (all Strokes) Check(firstFret, lastFret, lanes int) error {
	for _, s := range all {
		for _, f := range []int{s.FromFret, s.ToFret} {
			if f < firstFret || f > lastFret {
				return fmt.Errorf("%w: this neck has no fret %d; use %d to %d", ErrStrokes, f, firstFret, lastFret)
			}
		}
		if s.LastLane > lanes {
			return fmt.Errorf("%w: this neck has no lane %d; use 1 to %d", ErrStrokes, s.LastLane, lanes)
		}
	}
	return nil
}

// Text is what Parse reads, each entry in one way.
func (all Strokes) Text() string {
	var parts []string
	for _, s := range all {
		parts = append(parts, s.text())
	}
	return strings.Join(parts, "; ")
}

func (s Stroke) text() string {
	t := s.Tool + " " + spanText(s.FromFret, s.ToFret)
	if s.FirstLane > 0 {
		t += " lanes " + spanText(s.FirstLane, s.LastLane)
	}
	if s.counts() {
		t += ": " + strconv.Itoa(s.Strokes)
	} else if s.Paper+s.By != "" || len(s.Ink) > 0 {
		t += ":"
	}
	if s.FlatMM > 0 {
		t += ", flat " + strconv.FormatFloat(s.FlatMM, 'f', -1, 64)
		if s.FlatToMM != s.FlatMM {
			t += "-" + strconv.FormatFloat(s.FlatToMM, 'f', -1, 64)
		}
		t += " mm"
	}
	if s.Paper != "" {
		t += ", paper " + s.Paper
	}
	if s.By != "" {
		t += ", by " + s.By
	}
	for i, f := range s.Ink {
		if i == 0 {
			t += ", ink"
		}
		t += " " + strconv.Itoa(f)
	}
	return t
}

func spanText(from, to int) string {
	if from == to {
		return strconv.Itoa(from)
	}
	return fmt.Sprintf("%d-%d", from, to)
}

// span reads "7" or "10-22".
func span(text string) (from, to int, ok bool) {
	first, last, two := strings.Cut(text, "-")
	from, err := strconv.Atoi(first)
	if err != nil || !startsWithDigit(first) {
		return 0, 0, false
	}
	if !two {
		return from, from, true
	}
	to, err = strconv.Atoi(last)
	return from, to, err == nil && startsWithDigit(last) && to >= from
}

func startsWithDigit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }

func toolList() string {
	all := Tools()
	return strings.Join(all[:len(all)-1], ", ") + " or " + all[len(all)-1]
}

// tidy is a name with single spaces.
func tidy(name string) string { return strings.Join(strings.Fields(name), " ") }
