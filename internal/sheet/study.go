package sheet

import (
	"fmt"
	"math"

	"ringtrue/internal/draw"
)

// Study is the sheet of what levelness buys: for each string how low it can go
// on necks that are level only to each zone, and the same for the whole neck.
type Study struct {
	Neck       string
	Touch      string // judged by
	ActionFret int
	Necks      int // for each zone
	Seed       uint64
	LimitMM    float64 // the zone that the neck is to be levelled to
	ZonesMM    []float64
	Strings    []StudyPanel
	Raise      StudyPanel // what the string that needs most must rise above perfect crowns
	Sentence   string     // the answer in words
}

// StudyPanel is one string's levels.
type StudyPanel struct {
	String    int
	Pitch     string
	PerfectMM float64 // over perfect crowns
	SetMM     float64 // as set up
	marks     [][]StudyMark
}

// StudyMark is the action that a share of the necks can be set to; nil where
// that share clears at none.
type StudyMark struct {
	SharePct float64
	MM       *float64
}

// Add appends the marks of the next zone, one a share.
func (s *StudyPanel) Add(marks []StudyMark) { s.marks = append(s.marks, marks) }

// Page draws a panel a string, one for the neck, and the sentence.
func (s Study) Page() (*draw.Page, error) {
	p, err := draw.New(playWidthMM, playHeightMM, s.Neck+": what levelness buys")
	if err != nil {
		return nil, err
	}
	p.About(fmt.Sprintf("For each string, the lowest action without contact on necks whose frets are level only to each zone, for several shares of %d necks drawn. %s", s.Necks, s.Sentence))
	p.Text(playEdgeMM, 17, s.Neck+": what levelness buys", draw.Type{SizePt: 14, Bold: true})
	words := fmt.Sprintf("lowest action over fret %d without contact, mm, against the zone that each neck is level to, mm; touch %q; %d necks for each zone, seed %d",
		s.ActionFret, s.Touch, s.Necks, s.Seed)
	p.Text(playEdgeMM, 23, words, draw.Type{SizePt: 9, Colour: draw.Slate})
	y := playHeightMM - 8.0
	set := draw.Type{SizePt: 9}
	lines := p.Wrap(s.Sentence, set, playWidthMM-2*playEdgeMM)
	y -= float64(len(lines)) * set.LineMM()
	for i, l := range lines {
		p.Text(playEdgeMM, y+float64(i+1)*set.LineMM(), l, set)
	}
	s.legend(p, y-3)
	return p, s.panels(p, draw.Box{X: playEdgeMM, Y: 27, W: playWidthMM - 2*playEdgeMM, H: y - 9 - 27})
}

// panels lays the charts out in rows of the same height, a string's action range
// being as wide in each.
func (s Study) panels(p *draw.Page, box draw.Box) error {
	n := len(s.Strings) + 1
	rows := max(1, int(math.Round(math.Sqrt(float64(n)/2))))
	columns := (n + rows - 1) / rows
	const gap = 5
	w, h := (box.W-float64(columns-1)*gap)/float64(columns), (box.H-float64(rows-1)*gap)/float64(rows)
	tall := 0.0
	for _, panel := range s.Strings {
		low, high := panel.extent()
		tall = math.Max(tall, high-low)
	}
	tall = math.Ceil(tall*1.1*20) / 20
	for i := range n {
		at := draw.Box{X: box.X + float64(i%columns)*(w+gap), Y: box.Y + float64(i/columns)*(h+gap), W: w, H: h}
		var c Chart
		if i < len(s.Strings) {
			c = s.Strings[i].chart(s.ZonesMM)
			c.Title = fmt.Sprintf("String %d, %s (set up at %.2f)", s.Strings[i].String, s.Strings[i].Pitch, s.Strings[i].SetMM)
			low, _ := s.Strings[i].extent()
			c.Y.Min = math.Floor(low*20) / 20
			c.Y.Max = c.Y.Min + tall + 0.05
			c.Rules = append(c.Rules, Rule{At: s.Strings[i].PerfectMM, Dashed: true})
			if v := s.Strings[i].SetMM; v >= c.Y.Min && v <= c.Y.Max {
				c.Rules = append(c.Rules, Rule{At: v})
			}
		} else {
			c = s.Raise.chart(s.ZonesMM)
			c.Title = "Neck: rise of the worst string"
			_, high := s.Raise.extent()
			c.Y.Min, c.Y.Max = 0, math.Max(0.05, math.Ceil(high*20)/20)
		}
		c.Bands = append(c.Bands, Band{From: 0, To: s.LimitMM, Upright: true})
		if err := c.Draw(p, at); err != nil {
			return err
		}
	}
	return nil
}

// extent is the range of a panel's actions.
func (s StudyPanel) extent() (low, high float64) {
	low, high = s.PerfectMM, s.PerfectMM
	for _, marks := range s.marks {
		for _, m := range marks {
			if m.MM != nil {
				low, high = math.Min(low, *m.MM), math.Max(high, *m.MM)
			}
		}
	}
	return low, high
}

// shareMarks are the marks of the shares, in order.
func shareMarks() []Mark { return []Mark{Disc, Ring, Square, Wedge} }

// chart is a panel's curves: one a share, from perfect crowns at a zone of 0 on.
func (s StudyPanel) chart(zonesMM []float64) Chart {
	last := math.Max(zonesMM[len(zonesMM)-1], 0.001)
	c := Chart{X: Axis{Label: "zone, mm", Min: -0.04 * last, Max: 1.04 * last}, Y: Axis{Label: "mm"}}
	if len(s.marks) == 0 {
		return c
	}
	for k := range s.marks[0] {
		x, y := []float64{0}, []float64{s.PerfectMM}
		for z, marks := range s.marks {
			m := marks[k]
			if m.MM == nil {
				continue
			}
			x, y = append(x, zonesMM[z]), append(y, *m.MM)
		}
		c.Curves = append(c.Curves, Curve{X: x, Y: y, Joined: true, Mark: shareMarks()[k%4]})
	}
	return c
}

// legend tells the curves apart.
func (s Study) legend(p *draw.Page, y float64) {
	set := draw.Type{SizePt: 8, Level: draw.Centred}
	f := frame{p: p}
	x := float64(playEdgeMM)
	if len(s.Raise.marks) > 0 {
		for k, m := range s.Raise.marks[0] {
			colour := draw.Series(k)
			p.Line(x, y, x+8, y, draw.Pen{Colour: colour, WidthMM: 0.4})
			f.mark(shareMarks()[k%4], draw.Point{X: x + 4, Y: y}, colour)
			words := fmt.Sprintf("%g %% of the necks", m.SharePct)
			p.Text(x+10, y, words, set)
			x += 10 + p.Width(words, set) + 8
		}
	}
	pen := draw.Pen{Colour: draw.Slate, WidthMM: 0.3, DashMM: []float64{1.6, 1}}
	for _, l := range []string{"perfect crowns", "as set up"} {
		p.Line(x, y, x+8, y, pen)
		p.Text(x+10, y, l, set)
		x += 10 + p.Width(l, set) + 8
		pen.DashMM = nil
	}
	p.Rect(x, y-2, 8, 4, draw.Filled(draw.Haze))
	p.Text(x+10, y, fmt.Sprintf("within the neck's zone, %g mm", s.LimitMM), set)
}
