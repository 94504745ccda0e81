package sheet

import (
	"fmt"
	"math"
	"strconv"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/drift"
	"ringtrue/internal/gauge"
	"ringtrue/internal/text"
)

// maxScreenMarks is up to how many points each is a mark joined to the next; a
// longer row would be a hedge, and is drawn as dots in a band.
const maxScreenMarks = 60

// DriftScreen draws the control charts of an answer for a screen: first that of the
// values and those of the parts, then the others. of names what is charted where the
// answer does not.
func DriftScreen(of string, a *answer.DriftAnswer, units Units) (first, more []*draw.Screen, err error) {
	_, words, charts := driftCharts(of, a)
	for _, c := range charts {
		s, err := c.onScreen(words, units).screen()
		if err != nil {
			return nil, nil, err
		}
		if c.further {
			more = append(more, s)
		} else {
			first = append(first, s)
		}
	}
	return first, more, nil
}

// onScreen is a control chart for a screen.
func (c *control) onScreen(words string, units Units) onScreen {
	out := onScreen{chart: c.numbered(units), about: words}
	rings, dashes := &draw.Screen{}, &draw.Screen{}
	rings.Ring("flag", draw.Point{X: 0.5, Y: 0.5})
	dashes.Path("line limit", level(), false)
	if len(c.row) > maxScreenMarks {
		out.calm(c.first, c.row, c.smooth)
	}
	for _, k := range c.Curves {
		if len(k.Flag) > 0 {
			out.key = append(out.key, draw.KeyItem{Words: ringWords(c.crowded), Sign: rings})
			break
		}
	}
	out.key = append(out.key, draw.KeyItem{Words: limitWords, Sign: dashes})
	return out
}

// level is a line through the middle of a sign.
func level() [][]draw.Point { return [][]draw.Point{{{X: 0, Y: 0.5}, {X: 1, Y: 0.5}}} }

// calm draws a long row of points in place of marks and a line through each: a
// smooth one as a line, another as dots over a band.
func (c *onScreen) calm(first int, row []float64, smooth bool) {
	for i := range c.Curves {
		k := &c.Curves[i]
		if k.Colour != draw.None {
			continue // a limit
		}
		if k.Mark = disc; smooth {
			k.Mark = noMark
		}
		k.Joined = smooth
	}
	if smooth {
		return
	}
	all := drift.Stretches(row)
	for i, s := range all {
		x := float64(first) + float64(s.First+s.Last)/2
		switch i {
		case 0:
			x = float64(first)
		case len(all) - 1:
			x = float64(first + s.Last)
		}
		r := &c.ribbon
		r.X, r.Low, r.Mid, r.High = append(r.X, x), append(r.Low, s.Low), append(r.Mid, s.Median), append(r.High, s.High)
	}
	band, line := &draw.Screen{}, &draw.Screen{}
	band.Path("ribbon", [][]draw.Point{{{}, {X: 1}, {X: 1, Y: 1}, {Y: 1}}}, true)
	line.Path("median", level(), false)
	c.key = append(c.key, draw.KeyItem{Words: text.MiddleEight(len(row) / max(1, len(all))), Sign: band}, draw.KeyItem{Words: text.HalfBelow, Sign: line})
}

// PatternScreen draws each fret's mean over many necks, with its scatter. ErrEmpty:
// no fret is known.
func PatternScreen(a *answer.PatternAnswer, units Units) (*draw.Screen, error) {
	u := unitOf(units)
	off, chance, scatter := curve{Mark: disc}, curve{Mark: ring}, curve{Joined: true, Colour: draw.Ink}
	for _, r := range a.Frets {
		mean, known := r.Mean.Get()
		if !known {
			continue
		}
		k := &chance
		if r.Standing.Off() {
			k = &off
		}
		x, y := float64(r.Fret), mean*u.perMM
		k.X, k.Y = append(k.X, x), append(k.Y, y)
		if sd, known := r.SD.Get(); known {
			scatter.X = append(scatter.X, x, x, math.NaN())
			scatter.Y = append(scatter.Y, y-sd*u.perMM, y+sd*u.perMM, math.NaN())
		}
	}
	off.Label, chance.Label = text.BeyondChance, text.WithinChance
	out := onScreen{about: text.PatternDrawn(a.Pattern, a.Confidence)}
	out.Title = text.FretMeans
	out.X, out.Y = axis{Label: "fret", Whole: true}, axis{Label: "mean, " + u.short}
	out.Rules, out.Curves = []rule{{At: 0}}, []curve{scatter, off, chance}
	sign := &draw.Screen{}
	sign.Path("line whisker", [][]draw.Point{{{X: 0.5}, {X: 0.5, Y: 1}}}, false)
	out.key = []draw.KeyItem{{Words: text.NeckScatter, Sign: sign}}
	return out.screen()
}

// GaugeScreen draws the charts of a study for a screen.
func GaugeScreen(study gauge.Study, a *answer.GaugeAnswer, units Units) ([]*draw.Screen, error) {
	charts, err := gaugeSheet{study, a}.charts()
	if err != nil {
		return nil, err
	}
	var all []*draw.Screen
	for _, c := range charts {
		s, err := onScreen{chart: c.in(units), about: text.GaugeChart(len(study.Readings))}.screen()
		if err != nil {
			return nil, err
		}
		all = append(all, s)
	}
	return all, nil
}

// HistoryScreen draws the zone of a neck's records in the order they were added, as
// far as they tell it. ErrEmpty: none does.
func HistoryScreen(a *answer.BookShowAnswer, units Units) (*draw.Screen, error) {
	zone, worst := curve{Label: text.ZoneOfRecord, Joined: true, Mark: disc}, curve{Label: text.WorstOfRecord, Joined: true, Mark: square}
	out := onScreen{about: text.RecordsChart(len(a.Records))}
	out.Title = text.NeckRecords
	n := len(a.Records)
	out.X = axis{Label: text.RecordsAxis, Min: 0.5, Max: float64(n) + 0.5}
	for i, r := range a.Records {
		x := float64(i + 1)
		out.X.Ticks = append(out.X.Ticks, tick{At: x, Label: fmt.Sprintf("%d %s", r.Record, r.Stage)})
		if v, known := r.ZoneMM.Get(); known {
			zone.X, zone.Y = append(zone.X, x), append(zone.Y, v)
		}
		if v, known := r.WorstMM.Get(); known {
			worst.X, worst.Y = append(worst.X, x), append(worst.Y, math.Abs(v))
		}
	}
	if len(zone.X) == 0 {
		return nil, ErrEmpty
	}
	out.Y = axis{Label: "mm"}
	out.Rules, out.Curves = []rule{{At: 0}}, []curve{zone, worst}
	out.chart = out.in(units)
	return out.screen()
}

// crownPart finds a part that is a crown, as the bench's studies name theirs.
func crownPart(part string) (short string, is bool) {
	var fret int
	var lane float64
	if n, err := fmt.Sscanf(part, "fret %d lane %g", &fret, &lane); n != 2 || err != nil {
		return "", false
	}
	return strconv.Itoa(fret) + "/" + strconv.FormatFloat(lane, 'g', -1, 64), true
}
