package bench

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ringtrue/internal/bench/draft"
	"ringtrue/internal/draw"
	"ringtrue/internal/straight"
	"ringtrue/internal/unit"
)

// picture is the neck from above, the nut at the top and the bass side left, in
// dots of its own. Rows of frets are closer to even than on the neck, so that
// the last crowns can be read and touched.
type picture struct {
	W, H         float64
	Head, Side   float64 // what the lanes' names and the frets' numbers take
	Board        string  // the board's outline, points of a polygon
	Wires        []wire
	Lanes        []laneRow
	Bass, Treble float64 // where the sides are named
	Mid          float64
	Here         bands
	Unit         string // of the heights
	Label        string
}

// laneRow is a lane: its name and its crowns.
type laneRow struct {
	X, Y   float64
	Words  string
	Crowns []crown
}

// bands run through the crown to read, along its lane and its fret.
type bands struct{ Lane, Fret string }

// wire is a fret: its ends, and its number beside it.
type wire struct {
	X1, Y1, X2, Y2 float64
	Number         string
	NX, NY         float64
	Nut            bool
}

// crown is one crown: a plate with a number, and the way to it.
type crown struct {
	Site      string
	Href      string
	X, Y      float64 // of its middle
	Words     string  // the number
	Sign      string  // points of a small triangle: up is high, down is low
	Fill, Ink string
	Kind      string // unread, read, known, again
	Here      bool
	Label     string
}

// sizes of the picture, in its dots
const (
	rowLeast  = 34.0 // of the last fret's row; the first's is half as much again
	rowMore   = 18.0
	laneStep  = 64.0 // between lanes at the last fret
	taper     = 0.88 // the same at the nut, of it
	edge      = 36.0 // from the outer lane to the board's edge
	numbers   = 46.0 // before the board
	beside    = 8.0  // behind it
	headRoom  = 56.0 // for the lanes' names
	plateHigh = 30.0
	plateWide = laneStep*taper - 4 // bench.css has the plates this wide and high
)

// place maps crowns to the picture.
type place struct {
	s     *draft.State
	lanes []float64 // shown, from the bass side
	wide  float64   // of the picture
	frets []int
	x     []float64 // of each fret on the centre line, mm
	y     []float64 // of each fret in the picture
}

func newPlace(s *draft.State) *place { return newPlaceOf(s, lanesOf(s)) }

// newPlaceOf is newPlace with the lanes to show.
func newPlaceOf(s *draft.State, lanes []float64) *place {
	p := &place{s: s, lanes: lanes}
	p.wide = numbers + beside + 2*edge + laneStep*float64(len(p.lanes)-1)
	y := headRoom + plateHigh/2
	first := s.Layout.FirstFret()
	if first > 0 { // the nut
		p.frets, p.x, p.y = append(p.frets, 0), append(p.x, 0), append(p.y, y)
	}
	for f := first; f <= s.Layout.LastFret(); f++ {
		y += rowLeast + rowMore*math.Pow(2, -float64(f-first)/12)
		if f == first && f == 0 {
			y = headRoom + plateHigh/2
		}
		p.frets, p.x, p.y = append(p.frets, f), append(p.x, s.Layout.CentreX(f)), append(p.y, y)
	}
	// A slanted nut's higher end has to clear the lanes' names too.
	least := p.y[0]
	for _, lane := range p.lanes {
		least = math.Min(least, p.down(s.Layout.At(p.frets[0], lane).X))
	}
	for i := range p.y {
		p.y[i] += headRoom + plateHigh/2 - least
	}
	return p
}

// lanesOf lists every whole lane and those between that were read.
func lanesOf(s *draft.State) []float64 {
	seen := map[float64]bool{}
	for i := 1; i <= s.Layout.Strings(); i++ {
		seen[float64(i)] = true
	}
	for _, l := range s.LanesRead() {
		seen[l] = true
	}
	var all []float64
	for l := range seen {
		all = append(all, l)
	}
	slices.SortFunc(all, func(a, b float64) int { return int(math.Copysign(1, b-a)) })
	return all
}

// down is the y of the picture for an x on the neck.
func (p *place) down(x float64) float64 {
	i, _ := slices.BinarySearch(p.x, x)
	i = min(max(i, 1), len(p.x)-1)
	if len(p.x) == 1 {
		return p.y[0]
	}
	t := (x - p.x[i-1]) / (p.x[i] - p.x[i-1])
	return p.y[i-1] + t*(p.y[i]-p.y[i-1])
}

// across is the x of the picture for the k-th lane shown, at a height y.
func (p *place) across(k float64, y float64) float64 {
	t := (y - p.y[0]) / math.Max(1, p.y[len(p.y)-1]-p.y[0])
	step := laneStep * (taper + (1-taper)*t)
	return (p.wide+numbers-beside)/2 + (k-float64(len(p.lanes)-1)/2)*step
}

// draw draws the neck. at is where the gauge stands, n what is known, asked what
// is open to ask.
func (l *renderer) draw(s *draft.State, pass *draft.Pass, at draft.Site, n *analysis, asked []question) picture {
	p := newPlace(s)
	pic := picture{W: p.wide, H: math.Ceil(p.lowest() + 28), Head: headRoom - 8, Side: numbers - 8, Label: l.words.Say("picture.label", s.Model.Name)}
	p.drawBoard(&pic)
	pic.Unit = l.heightsIn(pass).name
	known := l.crownsKnown(s, pass, n, asked)
	here := map[string]bool{}
	for _, f := range at.Frets() {
		here[string(draft.NewSite(at.Lane(), f))] = f == at.Fret()
	}
	for k, lane := range p.lanes {
		row := laneRow{X: round1(p.across(float64(k), p.y[0])), Y: 36, Words: unit.Decimal(lane)}
		for _, f := range p.frets {
			if f < s.Layout.FirstFret() {
				continue
			}
			c := known(f, lane)
			c.Y = round1(p.down(s.Layout.At(f, lane).X))
			c.X = round1(p.across(float64(k), c.Y))
			if c.Here = here[c.Site]; c.Here {
				pic.Here = p.bands(f, k)
			}
			if c.Sign != "" {
				c.Sign = triangle(plateWide/2-7, 7-plateHigh/2, c.Sign == string(straight.High))
			}
			row.Crowns = append(row.Crowns, c)
		}
		pic.Lanes = append(pic.Lanes, row)
	}
	pic.Bass, pic.Treble = pic.Lanes[0].X, pic.Lanes[len(pic.Lanes)-1].X
	pic.Mid = round1((pic.Bass + pic.Treble) / 2)
	return pic
}

// bands run along the k-th lane shown and along a fret.
func (p *place) bands(fret, k int) bands {
	top, bottom, e := p.y[0], p.y[len(p.y)-1]+20, p.edges(fret)
	lane := func(y, aside float64) string { return fmt.Sprintf("%.1f,%.1f", p.across(float64(k), y)+aside, y) }
	const half, high = plateWide/2 + 3, plateHigh/2 + 2
	return bands{
		Lane: strings.Join([]string{lane(top, -half), lane(top, half), lane(bottom, half), lane(bottom, -half)}, " "),
		Fret: fmt.Sprintf("%.1f,%.1f %.1f,%.1f %.1f,%.1f %.1f,%.1f", numbers-44, e[0].y-high, e[1].x, e[1].y-high, e[1].x, e[1].y+high, numbers-44, e[0].y+high),
	}
}

func (p *place) drawBoard(pic *picture) {
	last := p.frets[len(p.frets)-1]
	top, bottom := p.edges(p.frets[0]), p.edges(last)
	const beyond = 22
	pic.Board = fmt.Sprintf("%.1f,%.1f %.1f,%.1f %.1f,%.1f %.1f,%.1f",
		top[0].x, top[0].y, top[1].x, top[1].y, bottom[1].x, bottom[1].y+beyond, bottom[0].x, bottom[0].y+beyond)
	for _, f := range p.frets {
		e := p.edges(f)
		pic.Wires = append(pic.Wires, wire{
			X1: round1(e[0].x), Y1: round1(e[0].y), X2: round1(e[1].x), Y2: round1(e[1].y),
			Number: strconv.Itoa(f), NX: numbers - 12, NY: round1(e[0].y), Nut: f == 0 && p.s.Layout.FirstFret() > 0,
		})
	}
}

type dot struct{ x, y float64 }

// edges are where a fret meets the board's bass and treble edge.
func (p *place) edges(fret int) [2]dot {
	strings := float64(p.s.Layout.Strings())
	bass, treble := p.down(p.s.Layout.At(fret, strings).X), p.down(p.s.Layout.At(fret, 1).X)
	last := float64(len(p.lanes) - 1)
	return [2]dot{{p.across(0, bass) - edge, bass}, {p.across(last, treble) + edge, treble}}
}

func triangle(x, y float64, up bool) string {
	d := -1.0
	if up {
		d = 1
	}
	return fmt.Sprintf("%.1f,%.1f %.1f,%.1f %.1f,%.1f", x-5, y+3.5*d, x+5, y+3.5*d, x, y-4.5*d)
}

func round1(v float64) float64 { return math.Round(v*10) / 10 }

// crownsKnown gives what is known of each crown.
func (l *renderer) crownsKnown(s *draft.State, pass *draft.Pass, n *analysis, asked []question) func(fret int, lane float64) crown {
	u := l.heightsIn(pass)
	type key struct {
		fret int
		lane float64
	}
	known, again, read := map[key]crown{}, map[key]bool{}, s.CrownsRead()
	if n != nil && n.frets != nil && n.stage == s.Stage() {
		full := fullScale(n)
		for _, c := range n.frets.Crowns {
			fill := draw.Diverging(u.shown(c.OffMM) / full) // as it is written: what reads the same looks the same
			words := u.signed(c.OffMM)
			sign := ""
			switch straight.Verdict(c.Verdict) {
			case straight.High, straight.Low:
				sign = c.Verdict
			case straight.InDoubt:
				words += "?"
			}
			known[key{c.Fret, c.Lane}] = crown{Words: words, Sign: sign, Fill: hexOf(fill), Ink: hexOf(draw.InkOn(fill)), Kind: "known",
				Label: l.words.Say("picture.known", c.Fret, unit.Decimal(c.Lane), u.signed(c.OffMM), u.name, c.Verdict)}
		}
		for _, r := range n.frets.Recheck {
			again[key{r.Fret, r.Lane}] = true
		}
	}
	for _, q := range asked {
		again[key{q.Site.Fret(), q.Site.Lane()}] = true
	}
	return func(fret int, lane float64) crown {
		k := key{fret, lane}
		c, ok := known[k]
		site := draft.NewSite(lane, fret)
		switch {
		case again[k]:
			if !ok {
				c.Label = l.words.Say("picture.read", fret, unit.Decimal(lane))
			}
			c.Kind, c.Words, c.Label = "again", c.Words+"!", c.Label+l.words.Say("picture.again")
		case ok:
		case read[site]:
			c = crown{Kind: "read", Words: "•", Label: l.words.Say("picture.read", fret, unit.Decimal(lane))}
		default:
			c = crown{Kind: "unread", Label: l.words.Say("picture.unread", fret, unit.Decimal(lane))}
		}
		c.Site = string(site)
		c.Href = siteHref(s, pass, site)
		return c
	}
}

// siteHref leads to where a pass reads a crown, from the page for reading; without
// a pass, to the choice of one.
func siteHref(s *draft.State, pass *draft.Pass, crown draft.Site) string {
	if pass == nil {
		return "/necks/" + s.ID + "/pass"
	}
	at, ok := s.SiteAt(pass, crown)
	if !ok {
		return ""
	}
	_, query, _ := strings.Cut(readHref(s.ID, pass.Number, at), "?")
	return "?" + query // short, since hundreds of crowns have one
}

// fullScale is the height, in mm, at the ends of the colour scale: twice the limit.
// It stays while readings come in, so that a height keeps its colour; what is
// beyond has the last one and its number.
func fullScale(n *analysis) float64 { return 2 * n.frets.ZoneLimitMM }

func hexOf(c draw.Colour) string {
	r, g, b := c.Parts()
	return fmt.Sprintf("#%02x%02x%02x", r, g, b)
}

// heightUnit is how small heights are shown.
type heightUnit struct {
	name  string
	perMM float64
	digit int
}

// signed is a height with its sign; a true minus.
func (u heightUnit) signed(mm float64) string {
	p := math.Pow(10, float64(u.digit))
	v := math.Round(mm*u.perMM*p)/p + 0
	switch {
	case v == 0:
		return "0"
	case v < 0:
		return "−" + strconv.FormatFloat(-v, 'f', u.digit, 64)
	}
	return "+" + strconv.FormatFloat(v, 'f', u.digit, 64)
}

// shown is a height in mm as signed writes it.
func (u heightUnit) shown(mm float64) float64 {
	p := u.perMM * math.Pow(10, float64(u.digit))
	return math.Round(mm*p) / p
}

// Plain is a height without a sign, with its unit.
func (u heightUnit) Plain(mm float64) string {
	return strconv.FormatFloat(math.Abs(mm)*u.perMM, 'f', u.digit, 64) + " " + u.name
}

// Total is metal over many crowns: in mm, since it runs into thousands of
// micrometres.
func (u heightUnit) Total(mm float64) string {
	if u.perMM == 1000 {
		return strconv.FormatFloat(mm, 'f', 3, 64) + " mm"
	}
	return u.Plain(mm)
}

// lowest is the y of the lowest crown.
func (p *place) lowest() float64 {
	last, low := p.frets[len(p.frets)-1], 0.0
	for _, lane := range p.lanes {
		low = math.Max(low, p.down(p.s.Layout.At(last, lane).X))
	}
	return low
}
