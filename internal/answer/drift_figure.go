package answer

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"ringtrue/internal/book"
	"ringtrue/internal/drift"
	"ringtrue/internal/unit"
)

// ErrFigure is a figure that the book cannot chart. What wraps it says why, and
// what there is.
var ErrFigure = errors.New("no figure of the book")

// Figure is one number that each record of the book tells, or some of them.
type Figure struct {
	Name   string // as charted: "fret 14, lane 2"
	Unit   string // "" for counts
	kind   figureKind
	fret   *int
	lane   *float64
	tag    string
	size   func(*book.Row) *float64
	number func(*book.Row) int
}

type figureKind int

const (
	ofSize   figureKind = iota // a size of the row
	ofCount                    // so many a neck
	ofShare                    // of the necks that are not level
	ofHeight                   // of a fret's crowns
	ofSeat                     // a fret's ends over its middle
	ofTag                      // a number that a tag holds
)

// figureNames lists what may be asked for, with the words that explain it.
func figureNames() [][2]string {
	return [][2]string{
		{"zone", "straightness of the widest lane"},
		{"worst", "how far the worst crown stands off its lane's line"},
		{"metal", "all the metal that levelling takes"},
		{"most", "the most that it takes off one crown"},
		{"height", "a fret's mean height over its lanes' lines: --fret 14, and --lane 2 for one crown"},
		{"seat", "a fret's ends over its middle: --fret 14; without, how far ends stand off middles on average"},
		{"findings", "frets with a finding, counted"},
		{"refits", "the fewest refits that keep every crown above the least, counted"},
		{"share", "the share of necks that are not level"},
		{"bend", "the radius that wire was bent to, where records carry it as the tag bend"},
		{"tag:NAME", "any number that the tag NAME holds"},
		{"pattern", "every fret and lane at once"},
	}
}

// FigureHelp lists the figures, a line each.
func FigureHelp() string {
	var b strings.Builder
	for _, n := range figureNames() {
		fmt.Fprintf(&b, "  %-9s %s\n", n[0], n[1])
	}
	return b.String()
}

// FigureNames lists the names alone.
func FigureNames() []string {
	var names []string
	for _, n := range figureNames() {
		names = append(names, n[0])
	}
	return names
}

// otherNames are further words for the figures.
func otherNames() map[string]string {
	return map[string]string{
		"worst crown": "worst", "metal taken": "metal", "most metal": "most", "frets off": "findings", "finding": "findings",
		"refit": "refits", "not level": "share", "fret": "height", "heights": "height", "straightness": "zone", "patterns": "pattern",
	}
}

// ParseFigure reads the name of a figure: "zone", "fret 14", "fret 14 lane 2",
// "seat 14", "tag:press". fret and lane stand beside it where given. ErrFigure.
func ParseFigure(text string, fret *int, lane *float64) (Figure, error) {
	name := strings.Join(strings.Fields(strings.ReplaceAll(text, ",", " ")), " ")
	if tag, ok := strings.CutPrefix(name, "tag:"); ok && tag != "" {
		return Figure{Name: tag, kind: ofTag, tag: tag}, alone(text, fret, lane)
	}
	name, fret, lane, err := placeIn(strings.ToLower(name), fret, lane)
	if err != nil {
		return Figure{}, err
	}
	if other, ok := otherNames()[name]; ok {
		name = other
	}
	f := Figure{Name: name, Unit: "mm", fret: fret, lane: lane}
	switch name {
	case "zone":
		f.size = func(r *book.Row) *float64 { return r.ZoneMM }
	case "worst":
		f.Name, f.size = "worst crown", func(r *book.Row) *float64 { return r.WorstMM }
	case "metal":
		f.Name, f.size = "metal to take", func(r *book.Row) *float64 { return r.MetalMM }
	case "most":
		f.Name, f.size = "most metal off a crown", func(r *book.Row) *float64 { return r.MostMM }
	case "findings":
		f.Name, f.kind, f.number = "frets with a finding", ofCount, func(r *book.Row) int { return r.FretsOff }
	case "refits":
		f.Name, f.kind, f.number = "refits", ofCount, func(r *book.Row) int { return r.Refits }
	case "share":
		f.Name, f.kind = "necks not level", ofShare
	case "bend":
		f.kind, f.tag = ofTag, "bend"
	case "height", "seat":
		return f.placed(text)
	default:
		return Figure{}, unknownFigure(text)
	}
	if f.kind != ofSize {
		f.Unit = ""
	}
	return f, alone(text, fret, lane)
}

// placeIn takes "fret 14", "14" and "lane 2" off the end of a name.
func placeIn(name string, fret *int, lane *float64) (string, *int, *float64, error) {
	wrong := func(what string) (string, *int, *float64, error) {
		return "", nil, nil, fmt.Errorf("%w: %q: %s", ErrFigure, name, what)
	}
	if head, tail, ok := cutWord(name, "lane"); ok {
		v, err := strconv.ParseFloat(tail, 64)
		if err != nil || !(v >= 1 && v <= 100) {
			return wrong(tail + " is no lane")
		}
		name, lane = head, &v
	}
	head, tail, _ := cutLast(name)
	if n, err := strconv.Atoi(tail); err == nil && head != "" {
		if n < 0 || n > 255 {
			return wrong(tail + " is no fret")
		}
		name, fret = head, &n
		if first, last, two := cutLast(name); two && last == "fret" {
			name = first // "seat fret 14", "height fret 14"
		}
	}
	return name, fret, lane, nil
}

// cutWord parts "fret 14 lane 2" into "fret 14" and "2".
func cutWord(s, word string) (head, tail string, ok bool) {
	head, tail, ok = cutLast(s)
	if !ok {
		return s, "", false
	}
	before, last, two := cutLast(head)
	return before, tail, two && last == word
}

func cutLast(s string) (head, tail string, ok bool) {
	i := strings.LastIndexByte(s, ' ')
	if i < 0 {
		return "", s, false
	}
	return s[:i], s[i+1:], true
}

// placed completes a figure of a fret's crowns.
func (f Figure) placed(text string) (Figure, error) {
	switch {
	case f.Name == "seat" && f.lane != nil:
		return f, fmt.Errorf("%w: %q: a seat is of a whole fret, not of a lane", ErrFigure, text)
	case f.Name == "seat" && f.fret == nil:
		f.kind, f.Name = ofSeat, "ends off middles, mean of all frets"
	case f.Name == "seat":
		f.kind, f.Name = ofSeat, fmt.Sprintf("ends over the middle of fret %d", *f.fret)
	case f.fret == nil:
		return f, fmt.Errorf(`%w: %q: say of which fret: --of "fret 14"`, ErrFigure, text)
	case f.lane != nil:
		f.kind, f.Name = ofHeight, fmt.Sprintf("height of fret %d in lane %g", *f.fret, *f.lane)
	default:
		f.kind, f.Name = ofHeight, fmt.Sprintf("mean height of fret %d", *f.fret)
	}
	return f, nil
}

func alone(text string, fret *int, lane *float64) error {
	if fret != nil || lane != nil {
		return fmt.Errorf("%w: %q is of a whole neck; a fret or lane goes with height or seat", ErrFigure, text)
	}
	return nil
}

func unknownFigure(text string) error {
	list := FigureNames()
	known := FigureNames()
	for other := range otherNames() {
		known = append(known, other)
	}
	near := book.Near(strings.ToLower(text), known)
	for i, n := range near {
		if of, ok := otherNames()[n]; ok {
			near[i] = of
		}
	}
	words := ""
	if len(near) > 0 {
		words = "; near it: " + strings.Join(distinct(near), ", ")
	}
	return fmt.Errorf("%w is called %s%s; there are %s", ErrFigure, unit.Quote(text), words, strings.Join(list, ", "))
}

func distinct(words []string) []string {
	var kept []string
	seen := map[string]bool{}
	for _, w := range words {
		if !seen[w] {
			seen[w] = true
			kept = append(kept, w)
		}
	}
	return kept
}

// wants is what the figure needs of a record.
func (f Figure) wants() book.Want {
	want := book.WantName | book.WantTags | book.WantFigures
	if f.kind == ofHeight || f.kind == ofSeat {
		want |= book.WantCrowns
	}
	return want
}

// of is the figure on a row; false where the row does not tell it.
func (f Figure) of(r *book.Row, s *book.Sheet) (float64, bool, error) {
	switch f.kind {
	case ofSize:
		if v := f.size(r); v != nil {
			return *v, true, nil
		}
		return 0, false, nil
	case ofCount:
		return float64(f.number(r)), r.Verdict != "", nil
	case ofShare:
		if r.Verdict == notLevel {
			return 1, true, nil
		}
		return 0, r.Verdict != "", nil
	case ofTag:
		v, err := tagNumber(r.Tags[f.tag])
		return v, err == nil, nil
	}
	if err := r.Crowns.Open(s); err != nil {
		return 0, false, fmt.Errorf("record %d: %w", r.Number, err)
	}
	var v float64
	var ok bool
	switch {
	case f.kind == ofHeight:
		v, ok = f.heightMM(s)
	case f.fret != nil:
		v, ok = seatMM(s, *f.fret)
	default:
		v, ok = seatsMM(s)
	}
	return v, ok, nil
}

// tagNumber is the number in a tag: a length in mm, or a bare number.
func tagNumber(text string) (float64, error) {
	if mm, err := unit.Length.Parse(text); err == nil {
		return mm, nil
	}
	return unit.Number(text)
}

// heightMM is the mean height of a fret's crowns, or one crown's.
func (f Figure) heightMM(s *book.Sheet) (float64, bool) {
	at := *f.fret - s.FirstFret
	if at < 0 || at >= s.Frets {
		return 0, false
	}
	sum, n := 0, 0
	for l, lane := range s.Lanes {
		if f.lane != nil && lane != *f.lane {
			continue
		}
		if v, ok := s.Steps(l*s.Frets + at); ok {
			sum, n = sum+v, n+1
		}
	}
	return float64(sum) * s.StepMM / float64(n), n > 0
}

// seatMM is how far a fret's outermost crowns stand over the mean of those
// between them: above 0 the ends stand proud, below 0 the middle does. It wants
// both ends and a crown between. What all frets share, such as wire bent too
// flat, is not in it: a lane's own line takes that away.
func seatMM(s *book.Sheet, fret int) (float64, bool) {
	at, last := fret-s.FirstFret, len(s.Lanes)-1
	if at < 0 || at >= s.Frets || last < 2 {
		return 0, false
	}
	a, okA := s.Steps(at)
	b, okB := s.Steps(last*s.Frets + at)
	sum, n := 0, 0
	for l := 1; l < last; l++ {
		if v, ok := s.Steps(l*s.Frets + at); ok {
			sum, n = sum+v, n+1
		}
	}
	if !okA || !okB || n == 0 {
		return 0, false
	}
	return (float64(a+b)/2 - float64(sum)/float64(n)) * s.StepMM, true
}

// seatsMM is the mean size of every fret's seat.
func seatsMM(s *book.Sheet) (float64, bool) {
	sum, n := 0.0, 0
	for f := range s.Frets {
		if v, ok := seatMM(s, s.FirstFret+f); ok {
			sum, n = sum+math.Abs(v), n+1
		}
	}
	return sum / float64(n), n > 0
}

// neverNegative says whether the figure is a size that has no sign.
func (f Figure) neverNegative() bool {
	return f.kind == ofSize || f.kind == ofSeat && f.fret == nil
}

// chart is the chart that suits the figure, where none is asked for.
func (f Figure) chart() drift.Kind {
	switch f.kind {
	case ofCount:
		return drift.KindCount
	case ofShare:
		return drift.KindProportion
	}
	return ""
}
