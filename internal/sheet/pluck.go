package sheet

import (
	"fmt"
	"math"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/film"
	"ringtrue/internal/play"
	"ringtrue/internal/text"
)

// pluckPage is one pluck against the frets: heights over the string's rest line,
// places from the stop, in mm; times in ms.
type pluckPage struct {
	*answer.PlayFilmAnswer
	units Units
}

// stage is where a string is drawn: from heights and places to the page.
type stage struct {
	box          draw.Box // from the stop to the saddle, lowest to highest
	perX, perY   float64  // mm on the page for each mm
	lowMM, topMM float64
}

// stage fits every moment that will be shown into a box.
func (p pluckPage) stage(box draw.Box) stage {
	low, top := 0.0, 0.0
	for _, moments := range [][]film.Moment{p.Strip, p.Film} {
		for _, m := range moments {
			for _, z := range m.HeightMM {
				low, top = math.Min(low, z), math.Max(top, z)
			}
		}
	}
	nearest := math.Inf(1)
	for _, c := range p.Crowns {
		nearest = math.Min(nearest, -c.HeightMM)
	}
	if !math.IsInf(nearest, 1) {
		low = math.Min(low, -nearest) // the crown in question is always seen
	}
	room := 0.08 * math.Max(top-low, 1e-3)
	s := stage{box: box, lowMM: low - room, topMM: top + room, perX: box.W / p.LengthMM}
	s.perY = box.H / (s.topMM - s.lowMM)
	return s
}

func (s stage) at(placeMM, heightMM float64) draw.Point {
	return draw.Point{X: s.box.X + placeMM*s.perX, Y: s.box.Y + (s.topMM-heightMM)*s.perY}
}

// line is the string of a moment on the page.
func (p pluckPage) line(s stage, m film.Moment) []draw.Point {
	out := make([]draw.Point, len(p.PlaceMM))
	for j, x := range p.PlaceMM {
		out[j] = s.at(x, m.HeightMM[j])
	}
	return out
}

// stringPen draws the string.
func stringPen() draw.Pen { return draw.Pen{Colour: draw.Sequential(0), WidthMM: 0.5} }

// smallText is the type of fret numbers.
func smallText() draw.Type {
	return draw.Type{SizePt: 6.5, Colour: draw.Slate, Anchor: draw.Middle, Level: draw.Below}
}

// neck draws what stands still: rest line, stop, saddle, crowns with their
// numbers below the stage.
func (p pluckPage) neck(page *draw.Page, s stage) {
	rest := s.at(0, 0).Y
	page.Line(s.box.X, rest, s.box.X+s.box.W, rest, draw.Pen{Colour: draw.Mist, WidthMM: 0.25, DashMM: []float64{1.2, 0.9}})
	foot := s.box.Y + s.box.H
	page.Line(s.box.X-3, foot, s.box.X+s.box.W+3, foot, draw.Pen{Colour: draw.Mist, WidthMM: 0.25})
	page.Rect(s.box.X-3, rest, 3, foot-rest, draw.Filled(draw.Ink))         // the stop
	page.Rect(s.box.X+s.box.W, rest, 3, foot-rest, draw.Filled(draw.Slate)) // the saddle
	free := s.box.X + 1.5 + page.Width(p.stopName(), smallText())/2
	page.Text(s.box.X-1.5, foot+1.2, p.stopName(), smallText())
	last := s.box.X + s.box.W + 1.5 - page.Width("saddle", smallText())/2
	page.Text(s.box.X+s.box.W+1.5, foot+1.2, "saddle", smallText())
	for _, c := range p.Crowns {
		top := s.at(c.PlaceMM, c.HeightMM)
		if c.HeightMM > s.lowMM {
			page.Rect(top.X-0.6, top.Y, 1.2, foot-top.Y, draw.Filled(draw.Slate))
		} else {
			page.Line(top.X, foot, top.X, foot+0.9, draw.Pen{Colour: draw.Slate, WidthMM: 0.25}) // deeper than the stage
		}
		label := fmt.Sprint(c.Fret)
		half := page.Width(label, smallText()) / 2
		if top.X-half > free+0.6 && top.X+half < last-0.6 {
			page.Text(top.X, foot+1.2, label, smallText())
			free = top.X + half
		}
	}
}

// stopName names the stop.
func (p pluckPage) stopName() string {
	if p.Fret == 0 {
		return "open"
	}
	return fmt.Sprintf("stop %d", p.Fret)
}

// touching marks the crowns that the string lies on: a ring at the crown's top,
// and a wedge with the contact's number under the stage.
func (p pluckPage) touching(page *draw.Page, s stage, m film.Moment) {
	for _, on := range m.On {
		p.touchMark(page, s, on.Fret, p.numberOf(on.Fret, m.TimeMS))
	}
}

func (p pluckPage) touchMark(page *draw.Page, s stage, fret, number int) {
	for _, c := range p.Crowns {
		if c.Fret != fret {
			continue
		}
		top, foot := s.at(c.PlaceMM, c.HeightMM), s.box.Y+s.box.H
		page.Circle(top.X, top.Y, 1.7, draw.Look{Edge: draw.Pen{Colour: touchColour(), WidthMM: 0.45}})
		f := frame{p: page}
		f.mark(wedge, draw.Point{X: top.X - 0.9, Y: foot + 6}, touchColour())
		page.Text(top.X+0.5, foot+6, fmt.Sprint(number), draw.Type{SizePt: 7.5, Bold: true, Colour: touchColour(), Level: draw.Centred})
	}
}

// touchColour marks contacts, beside their ring, wedge and number.
func touchColour() draw.Colour { return draw.Diverging(0.75) }

// numberOf is the number of the contact on a fret at a time.
func (p pluckPage) numberOf(fret int, ms float64) int {
	best, off := 0, math.Inf(1)
	for _, c := range p.Contacts {
		if c.Fret != fret {
			continue
		}
		if d := math.Max(0, math.Max(c.FromMS-ms, ms-c.ToMS)); d < off {
			best, off = c.Number, d
		}
	}
	return best
}

// heading of strip and film alike.
func (p pluckPage) heading() heading {
	where := fmt.Sprintf("stopped at fret %d", p.Fret)
	if p.Fret == 0 {
		where = "open"
	}
	return heading{
		title: p.Neck + text.SheetPluck, verdict: string(p.Verdict), mood: moodOf(p.Verdict == play.Clear),
		say: []string{fmt.Sprintf("string %d (%s), %s: %s", p.String, p.Pitch, where, p.verdictWords()), p.pluckWords()},
	}
}

func (p pluckPage) pluckWords() string {
	way := "pulled away from the board"
	if p.Release == "towards" {
		way = "pressed towards the board"
	}
	return fmt.Sprintf("touch %q: %s by %.2f mm, %.0f mm from the saddle; %s", p.Touch, way, p.TriangleMM, p.LengthMM-p.PluckMM, p.State)
}

func (p pluckPage) verdictWords() string {
	if len(p.Contacts) == 0 {
		return fmt.Sprintf("it meets no fret within %.0f ms", p.WindowMS)
	}
	times := "once"
	if n := len(p.Contacts); n > 1 {
		times = fmt.Sprintf("%d times", n)
	}
	return fmt.Sprintf("it meets a fret %s within %.0f ms, first fret %d at %.2f ms", times, p.WindowMS, p.Contacts[0].Fret, p.Contacts[0].FromMS)
}

// scales says how much heights are stretched, and draws a length of each.
func (p pluckPage) scales(page *draw.Page, s stage, x, y float64) {
	pen := draw.Pen{Colour: draw.Ink, WidthMM: 0.4}
	set := draw.Type{SizePt: 8, Level: draw.Centred}
	high, long := lengthFor("mm", 0, p.units), lengthFor("mm", p.LengthMM, p.units)
	height := roundSize(8/s.perY*high.per) / high.per
	page.Lines([][2]draw.Point{
		{{X: x, Y: y}, {X: x, Y: y - height*s.perY}},
		{{X: x - 0.8, Y: y}, {X: x + 0.8, Y: y}},
		{{X: x - 0.8, Y: y - height*s.perY}, {X: x + 0.8, Y: y - height*s.perY}},
	}, pen)
	words := fmt.Sprintf("%.6g %s of height", height*high.per, high.name)
	page.Text(x+2.5, y-height*s.perY/2, words, set)
	x += 8 + page.Width(words, set)
	length := roundSize(30/s.perX*long.per) / long.per
	page.Lines([][2]draw.Point{
		{{X: x, Y: y}, {X: x + length*s.perX, Y: y}},
		{{X: x, Y: y - 0.8}, {X: x, Y: y + 0.8}},
		{{X: x + length*s.perX, Y: y - 0.8}, {X: x + length*s.perX, Y: y + 0.8}},
	}, pen)
	words = fmt.Sprintf("%.6g %s of length", length*long.per, long.name)
	page.Text(x, y-3, words, set)
	x += math.Max(length*s.perX, page.Width(words, set)) + 6
	page.Text(x, y-3, fmt.Sprintf("heights are drawn %.0f times as large as lengths,", s.perY/s.perX), set)
	page.Text(x, y+1, "over the resting string (dashed); frets without a crown stand lower than shown", set)
}

// roundSize is the largest of 1, 2, 5 times a power of ten that is no more.
func roundSize(mm float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(mm)))
	for _, k := range []float64{5, 2, 1} {
		if k*power <= mm {
			return math.Round(k*power*1e9) / 1e9
		}
	}
	return power
}
