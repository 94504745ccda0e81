package sheet

import (
	"fmt"
	"math"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/study"
	"ringtrue/internal/text"
)

// studyPage is the sheet of what levelness buys: for each string how low it can
// go on necks that are level only to each zone, and the same for the whole neck.
type studyPage struct {
	*answer.PlayStudyAnswer
	units Units
}

// studyPanel is one string's levels, or the neck's.
type studyPanel struct {
	perfectMM float64 // over perfect crowns
	zones     []studyZone
}

// studyZone is what a panel has of one zone: a level a share of the necks.
type studyZone struct {
	mm     float64
	levels []study.Level
}

// panel is string i's panel, that of the neck after the last string.
func (s studyPage) panel(i int) (p studyPanel) {
	if i < len(s.Strings) {
		p.perfectMM = s.Strings[i].PerfectActionMM
	}
	for _, z := range s.Zones {
		levels := z.Raise
		if i < len(s.Strings) {
			levels = z.Strings[i].Levels
		}
		p.zones = append(p.zones, studyZone{z.ZoneMM, levels})
	}
	return p
}

// lengths are what actions and zones are drawn in, the same in all strings' panels.
func (s studyPage) lengths() (action, zone length) {
	most := 0.0
	for i := range s.Strings {
		_, high := s.panel(i).extent()
		most = math.Max(most, high)
	}
	return lengthFor("mm", most, s.units), lengthFor("mm", s.Zones[len(s.Zones)-1].ZoneMM, s.units)
}

// Study draws a panel a string, one for the neck, and the sentence.
func Study(a *answer.PlayStudyAnswer, units Units) (*draw.Page, error) {
	s := studyPage{a, units}
	action, zone := s.lengths()
	buys := text.StudyBuys(s.Report, s.Necks)
	head := heading{title: a.Neck + text.SheetLow, say: []string{buys}, facts: []string{
		fmt.Sprintf("lowest action over fret %d without contact, %s", s.ActionFret, action.name),
		fmt.Sprintf("against the zone each neck is level to, %s", zone.name),
		fmt.Sprintf("touch %q, %d necks per zone, seed %d", s.JudgeBy, s.Necks, s.Seed),
	}}
	p, y, err := head.page(playWidthMM, playHeightMM, units, fmt.Sprintf("For each string, the lowest action without contact on necks level only to each zone. Shares of %d necks drawn. %s", s.Necks, buys))
	if err != nil {
		return nil, err
	}

	const width = playWidthMM - 2*edgeMM
	under := playHeightMM - edgeMM - 6.0
	signs(p, edgeMM, under, width, s.legend())
	return p, s.panels(p, draw.Box{X: edgeMM, Y: y, W: width, H: under - y - 1})
}

// panels lays the charts out in rows of the same height, a string's action range
// being as wide in each.
func (s studyPage) panels(p *draw.Page, box draw.Box) error {
	n := len(s.Strings) + 1
	rows := max(1, int(math.Round(math.Sqrt(float64(n)/2))))
	columns := (n + rows - 1) / rows
	const gap = 5
	w, h := (box.W-float64(columns-1)*gap)/float64(columns), (box.H-float64(rows-1)*gap)/float64(rows)
	action, zone := s.lengths()
	tall := 0.0
	for i := range s.Strings {
		low, high := s.panel(i).extent()
		tall = math.Max(tall, high-low)
	}
	tall = math.Ceil(tall*1.1*20) / 20
	for i := range n {
		at := draw.Box{X: box.X + float64(i%columns)*(w+gap), Y: box.Y + float64(i/columns)*(h+gap), W: w, H: h}
		c := s.panel(i).chart(zone)
		low, high := s.panel(i).extent()
		if i < len(s.Strings) {
			x := s.Strings[i]
			c.Y.Label, c.Y.per = "action, "+action.name, action.per
			c.Title = fmt.Sprintf("String %d, %s (set up at %s %s)", x.String, x.Pitch, action.say(x.ActionMM, 2), action.name)
			c.Y.Min = math.Floor(low*20) / 20
			c.Y.Max = c.Y.Min + tall + 0.05
			c.Rules = append(c.Rules, rule{At: x.PerfectActionMM, Dashed: true})
			if v := x.ActionMM; v >= c.Y.Min && v <= c.Y.Max {
				c.Rules = append(c.Rules, rule{At: v})
			}
		} else {
			c.Title = "Neck: rise of the worst string"
			c.Y.Min, c.Y.Max = 0, math.Max(0.05, math.Ceil(high*20)/20)
		}
		c.Bands = append(c.Bands, band{From: 0, To: s.ZoneLimitMM, Upright: true})
		if err := c.in(s.units).Draw(p, at); err != nil {
			return err
		}
	}
	return nil
}

// extent is the range of a panel's actions.
func (s studyPanel) extent() (low, high float64) {
	low, high = s.perfectMM, s.perfectMM
	for _, z := range s.zones {
		for _, l := range z.levels {
			low, high = math.Min(low, l.ActionMM.Or(low)), math.Max(high, l.ActionMM.Or(high))
		}
	}
	return low, high
}

// shareMarks are the marks of the shares, in order.
func shareMarks() []mark { return []mark{disc, ring, square, wedge} }

// chart is a panel's curves: one a share, from perfect crowns at a zone of 0 on.
func (s studyPanel) chart(zone length) chart {
	last := math.Max(s.zones[len(s.zones)-1].mm, 0.001)
	c := chart{X: axis{Label: "zone, " + zone.name, per: zone.per, Min: -0.04 * last, Max: 1.04 * last}, Y: axis{Label: "rise, mm"}}
	for k := range s.zones[0].levels {
		x, y := []float64{0}, []float64{s.perfectMM}
		for _, z := range s.zones {
			if mm, known := z.levels[k].ActionMM.Get(); known {
				x, y = append(x, z.mm), append(y, mm)
			}
		}
		c.Curves = append(c.Curves, curve{X: x, Y: y, Joined: true, Mark: shareMarks()[k%4]})
	}
	return c
}

// legend tells the curves apart.
func (s studyPage) legend() (items []legendItem) {
	for k, l := range s.Zones[0].Raise {
		items = append(items, curveItem(fmt.Sprintf("%g %% of the necks", l.SharePct), k, shareMarks()[k%4]))
	}
	return append(items, ruleItem("perfect crowns", true), ruleItem("as set up", false),
		legendItem{fmt.Sprintf("within the neck's limit, %g mm", s.ZoneLimitMM), 8, func(p *draw.Page, x, y float64) { p.Rect(x, y-2, 8, 4, draw.Filled(draw.Haze)) }})
}
