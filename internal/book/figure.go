package book

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ringtrue/internal/drift"
	"ringtrue/internal/num"
	"ringtrue/internal/straight"
	"ringtrue/internal/unit"
)

// ErrFigure is a figure that the book cannot chart. What wraps it says why, and
// what there is.
var ErrFigure = errors.New("the book can't chart this")

// Figure is one number that each record of the book tells, or some of them.
type Figure struct {
	Name          string     // as charted: "fret 14, lane 2"
	Unit          string     // "" for counts
	Kind          drift.Kind // the chart that suits it; "" where the series tells
	NeverNegative bool       // a size that has no sign

	fret   *int
	lane   *float64
	tag    string
	crowns bool                                                 // told by crowns, not by the row alone
	at     func(t *CrownTable, fret int) (v float64, told bool) // of crowns
	value  func(*Row) (v float64, told bool)                    // of the row
	heard  bool                                                 // told by what was heard, not by a record
	played func(*Played) num.Opt                                // of it; nil: of its rings
}

// figureNames lists what may be asked for, with the words that explain it.
func figureNames() [][2]string {
	return [][2]string{
		{"zone", "straightness of the widest lane"},
		{"worst", "how far the worst crown is off its lane's line"},
		{"metal", "all the metal that levelling takes"},
		{"most", "the most that it takes off one crown"},
		{"height", "a fret's mean height over its lanes' lines: --fret 14, and --lane 2 for one crown"},
		{"seat", "a fret's ends over its middle: --fret 14; without it, how far ends are off middles on average"},
		{"findings", "frets with a finding, counted"},
		{"refits", "the fewest refits that keep every crown above the least, counted"},
		{"share", "the share of necks that are not level"},
		{"cents", "what the best saddle leaves of the cents heard, rms over the neck"},
		{"ring", "how long notes ring, as a share of the shop's median of each note"},
		{"bend", "the radius that wire was bent to, where records have it in the tag bend"},
		{"tag:NAME", "any number in the tag NAME"},
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
		"refit": "refits", string(straight.NotLevel): "share", "fret": "height", "heights": "height", "straightness": "zone", "patterns": "pattern",
	}
}

// ParseFigure reads the name of a figure: "zone", "fret 14", "fret 14 lane 2",
// "seat 14", "tag:press". fret and lane stand beside it where given. ErrFigure.
func ParseFigure(text string, fret *int, lane *float64) (Figure, error) {
	name := strings.Join(strings.Fields(strings.ReplaceAll(text, ",", " ")), " ")
	if tag, ok := strings.CutPrefix(name, "tag:"); ok && tag != "" {
		return ofTag(tag), alone(text, fret, lane)
	}
	name, fret, lane, err := placeIn(strings.Fields(strings.ToLower(name)), fret, lane)
	if err != nil {
		return Figure{}, err
	}
	if other, ok := otherNames()[name]; ok {
		name = other
	}
	var f Figure
	switch name {
	case "height", "seat":
		return placed(name, text, fret, lane)
	case "zone":
		f = ofSize(name, func(r *Row) num.Opt { return r.ZoneMM })
	case "worst":
		f = ofSize("worst crown", func(r *Row) num.Opt { return r.WorstMM })
	case "metal":
		f = ofSize("metal to take", func(r *Row) num.Opt { return r.MetalMM })
	case "most":
		f = ofSize("most metal off a crown", func(r *Row) num.Opt { return r.MostMM })
	case "findings":
		f = ofCount("frets with a finding", func(r *Row) int { return r.FretsOff })
	case "refits":
		f = ofCount("refits", func(r *Row) int { return r.Refits })
	case "share":
		f = Figure{Name: "necks not level", Kind: drift.KindProportion, value: notLevel}
	case "cents":
		f = ofHeard("cents left by the best saddle", "cents", centsLeft)
	case "ring":
		f = ofHeard("ring over the shop's median", "", nil)
	case "bend":
		f = ofTag(name)
	default:
		return f, unknownFigure(text)
	}
	return f, alone(text, fret, lane)
}

// ofSize is a size of the row in mm.
func ofSize(name string, of func(*Row) num.Opt) Figure {
	return Figure{Name: name, Unit: "mm", NeverNegative: true, value: func(r *Row) (float64, bool) {
		return of(r).Get()
	}}
}

// ofCount is so many a neck.
func ofCount(name string, of func(*Row) int) Figure {
	return Figure{Name: name, Kind: drift.KindCount, value: func(r *Row) (float64, bool) {
		return float64(of(r)), r.Verdict != ""
	}}
}

// notLevel counts a neck that is not.
func notLevel(r *Row) (float64, bool) {
	if r.Verdict == string(straight.NotLevel) {
		return 1, true
	}
	return 0, r.Verdict != ""
}

// ofTag is the number in a tag: a length in mm, or a bare number.
func ofTag(tag string) Figure { return Figure{Name: tag, tag: tag} }

// placeIn takes "fret 14", "14" and "lane 2" off the end of a name.
func placeIn(words []string, fret *int, lane *float64) (string, *int, *float64, error) {
	wrong := func(what string) (string, *int, *float64, error) {
		return "", nil, nil, fmt.Errorf("%w: %q: %s", ErrFigure, strings.Join(words, " "), what)
	}
	if n := len(words); n > 2 && words[n-2] == "lane" {
		v, err := strconv.ParseFloat(words[n-1], 64)
		if err != nil || !(v >= 1 && v <= 100) {
			return wrong(words[n-1] + " is not a lane")
		}
		words, lane = words[:n-2], &v
	}
	if last := len(words) - 1; last > 0 {
		if n, err := strconv.Atoi(words[last]); err == nil {
			if n < 0 || n > maxFret {
				return wrong(words[last] + " is not a fret")
			}
			if words, fret = words[:last], &n; last > 1 && words[last-1] == "fret" {
				words = words[:last-1] // "seat fret 14", "height fret 14"
			}
		}
	}
	return strings.Join(words, " "), fret, lane, nil
}

// placed is a figure of a fret's crowns.
func placed(name, text string, fret *int, lane *float64) (Figure, error) {
	f := Figure{Unit: "mm", fret: fret, lane: lane, crowns: true}
	switch {
	case name == "seat" && lane != nil:
		return f, fmt.Errorf("%w: %q: a seat is of a whole fret, not of a lane", ErrFigure, text)
	case name == "seat" && fret == nil:
		f.Name, f.NeverNegative = "ends off middles, mean of all frets", true
		f.at = func(s *CrownTable, fret int) (float64, bool) { // the mean size of every fret's seat
			v, told := seatMM(s, fret)
			return math.Abs(v), told
		}
	case name == "seat":
		f.Name = fmt.Sprintf("ends over the middle of fret %d", *fret)
		f.at = seatMM
	case fret == nil:
		return f, fmt.Errorf(`%w: %q: say of which fret: --of "fret 14"`, ErrFigure, text)
	default:
		f.Name = fmt.Sprintf("mean height of fret %d", *fret)
		if lane != nil {
			f.Name = fmt.Sprintf("height of fret %d in lane %g", *fret, *lane)
		}
		f.at = func(s *CrownTable, fret int) (float64, bool) { return heightMM(s, fret, lane) }
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
	known := FigureNames()
	for other := range otherNames() {
		known = append(known, other)
	}
	var near []string
	for _, n := range Suggest(strings.ToLower(text), known) {
		if of, ok := otherNames()[n]; ok {
			n = of
		}
		if !slices.Contains(near, n) {
			near = append(near, n)
		}
	}
	words := ""
	if len(near) > 0 {
		words = "; near it: " + strings.Join(near, ", ")
	}
	return fmt.Errorf("%w: no such figure %s%s; use %s", ErrFigure, unit.Quote(text), words, strings.Join(FigureNames(), ", "))
}

// wants is what the figure needs of a record, its crowns apart.
func (f Figure) wants() Columns {
	want := NameColumns
	switch {
	case f.tag != "":
		want |= TagTextColumn
	case !f.crowns:
		want |= FigureColumns
	}
	return want
}

// of is the figure on a row, and whether it is a length of a tag; false where the row
// does not tell it.
func (f Figure) of(r *Row, tag TagKey) (v float64, told, length bool) {
	switch {
	case f.crowns:
		return 0, false, false
	case f.tag != "":
		text, there := tag.In(r.TagText)
		if !there {
			return 0, false, false
		}
		if v, err := unit.Length.Parse(text); err == nil {
			return v, true, true
		}
		v, err := unit.Number(text)
		return v, err == nil, false
	}
	v, told = f.value(r)
	return v, told, false
}

// ofCrowns reads the figure of necks whose crowns tell it.
func (f Figure) ofCrowns(ctx context.Context, crowns FretReader, necks []neckValue) error {
	var h heights
	h.place(necks)
	first, last := math.MaxInt, math.MinInt
	if f.fret != nil {
		first, last = *f.fret, *f.fret
	} else {
		crowns.Shapes(func(_ int, t *CrownTable) {
			first, last = min(first, t.FirstFret), max(last, t.FirstFret+t.Frets-1)
		})
	}
	frets := make([]int32, len(necks)) // that tell
	for fret := first; fret <= last; fret++ {
		err := crowns.Fret(ctx, fret, func(c Crowns) {
			c.Each(func(record int, t *CrownTable) {
				neck := h.of(int32(record))
				if neck < 0 {
					return
				}
				if v, told := f.at(t, fret); told {
					n := &necks[neck]
					n.value, n.told = n.value+v, true
					frets[neck]++
				}
			})
		})
		if err != nil {
			return err
		}
	}
	if f.fret == nil {
		for i := range necks {
			necks[i].value /= float64(max(1, frets[i]))
		}
	}
	return nil
}

// heightMM is the mean height of a fret's crowns, or of the one in a lane.
func heightMM(s *CrownTable, fret int, in *float64) (float64, bool) {
	at := fret - s.FirstFret
	if at < 0 || at >= s.Frets {
		return 0, false
	}
	sum, n := 0, 0
	for l, lane := range s.Lanes {
		if in != nil && lane != *in {
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
func seatMM(s *CrownTable, fret int) (float64, bool) {
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
