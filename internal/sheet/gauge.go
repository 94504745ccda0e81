package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/gauge"
	"ringtrue/internal/text"
)

// gaugeSheet is a sheet of a gauge study.
type gaugeSheet struct {
	study gauge.Study
	*answer.GaugeAnswer
}

// Gauge draws a study and what was found of it on a page of A4.
func Gauge(study gauge.Study, a *answer.GaugeAnswer, units Units) (*draw.Page, error) {
	var words string
	for _, w := range slices.Concat(a.Words, a.Warnings) {
		words += upperFirst(w) + ". "
	}
	return gaugeSheet{study, a}.page(words, units)
}

// upperFirst makes words begin a sentence.
func upperFirst(s string) string {
	if s != "" && s[0] >= 'a' && s[0] <= 'z' {
		return strings.ToUpper(s[:1]) + s[1:]
	}
	return s
}

// page draws the study under words, a line of what was found.
func (s gaugeSheet) page(words string, units Units) (*draw.Page, error) {
	charts, err := s.charts()
	if err != nil {
		return nil, err
	}
	for i := range charts {
		charts[i] = charts[i].in(units)
	}
	head := heading{title: fmt.Sprintf("Gauge study: %s", s.study.Kind), say: []string{words}}
	if s.Decides != nil {
		grade := s.Decides.Grade()
		head = head.of(text.GaugeGrade(s.Report), moodOf(grade != gauge.TooCoarse && grade != gauge.CoarseOnce))
	}
	p, y, err := head.page(a4WideMM, a4HighMM, units, fmt.Sprintf("%d charts of a %s gauge study of %d readings. %s", len(charts), s.study.Kind, len(s.study.Readings), words))
	if err != nil {
		return nil, err
	}
	y, err = column(p, y, charts, 0)
	p.SetHeight(math.Min(a4HighMM, y+edgeMM-5))
	return p, err
}

// charts are those of the study's kind, and of passes where a zone is known.
func (s gaugeSheet) charts() ([]chart, error) {
	var charts []chart
	switch s.study.Kind {
	case gauge.KindCrossed:
		c, err := gauge.Cross(s.study.Readings)
		if err != nil {
			return nil, err
		}
		charts = append(charts, s.byPart(c), s.ranges(c))
	case gauge.KindNested:
		charts = append(charts, s.byDay(gauge.Visits(s.study.Readings)))
	case gauge.KindRepeat:
		charts = append(charts, s.inOrder(gauge.Values(s.study.Readings)))
	case gauge.KindLinearity:
		charts = append(charts, s.biases(gauge.Blocks(s.study.Readings)))
	}
	if s.Decides != nil {
		charts = append(charts, s.passes())
	}
	return charts, nil
}

func marks() []mark { return []mark{disc, ring, square, cross, wedge} }

// byPart shows each operator's mean of each part, less the part's mean: what
// hands add, and where.
func (s gaugeSheet) byPart(c gauge.Crossed) chart {
	out := chart{Title: "Each reading, less its part's mean", X: axis{Label: partLabel(c.Parts), Whole: true}, Y: axis{Label: "difference, " + s.Unit}, Rules: []rule{{At: 0}}}
	out.X.Min, out.X.Max = 0.5, float64(len(c.Parts))+0.5
	out.X.Ticks = partTicks(c.Parts)
	means := make([]float64, len(c.Parts))
	for i, part := range c.Readings {
		for _, cell := range part {
			for _, v := range cell {
				means[i] += v / float64(len(part)*len(cell))
			}
		}
	}
	for j, name := range c.Operators {
		k := curve{Label: name, Mark: marks()[j%len(marks())]}
		// Hands stand side by side within a part.
		shift := 0.5 * (float64(j+1)/float64(len(c.Operators)+1) - 0.5)
		for i, part := range c.Readings {
			for _, v := range part[j] {
				k.X, k.Y = append(k.X, float64(i+1)+shift), append(k.Y, v-means[i])
			}
		}
		out.Curves = append(out.Curves, k)
	}
	return out
}

// maxPartTicks is how many parts can be named along an axis.
const maxPartTicks = 24

// partLabel says what the parts are.
func partLabel(parts []string) string {
	for _, p := range parts {
		if _, is := crownPart(p); !is {
			return "part"
		}
	}
	return "fret/lane"
}

func partTicks(parts []string) []tick {
	if len(parts) > maxPartTicks {
		return nil
	}
	ticks := make([]tick, len(parts))
	for i, p := range parts {
		if crown, is := crownPart(p); is {
			p = crown
		} else if r := []rune(p); len(r) > 6 {
			p = string(r[:5]) + "…"
		}
		ticks[i] = tick{At: float64(i + 1), Label: p}
	}
	return ticks
}

// ranges shows how far the trials of each part lie apart.
func (s gaugeSheet) ranges(c gauge.Crossed) chart {
	out := chart{Title: "Range of the trials", X: axis{Label: partLabel(c.Parts), Whole: true}, Y: axis{Label: "range, " + s.Unit}}
	out.X.Min, out.X.Max = 0.5, float64(len(c.Parts))+0.5
	out.X.Ticks = partTicks(c.Parts)
	limit := s.ByRange.RangeLimit
	if limit > 0 {
		out.Rules = append(out.Rules, rule{At: limit, Label: "limit", Dashed: true})
	}
	out.Rules = append(out.Rules, rule{At: 0})
	for j, name := range c.Operators {
		k := curve{Label: name, Mark: marks()[j%len(marks())], Joined: true}
		for i, part := range c.Readings {
			lo, hi := math.Inf(1), math.Inf(-1)
			for _, v := range part[j] {
				lo, hi = math.Min(lo, v), math.Max(hi, v)
			}
			if limit > 0 && hi-lo > limit {
				k.Flag = append(k.Flag, i)
			}
			k.X, k.Y = append(k.X, float64(i+1)), append(k.Y, hi-lo)
		}
		out.Curves = append(out.Curves, k)
	}
	return out
}

// byDay shows each day's mean, less its part's.
func (s gaugeSheet) byDay(visits []gauge.Visit) chart {
	out := chart{Title: "Each day's mean, less its part's", X: axis{Label: "day, in order of the file", Whole: true}, Y: axis{Label: "difference, " + s.Unit}, Rules: []rule{{At: 0}}}
	sum, count := map[string]float64{}, map[string]float64{}
	var parts []string
	for _, v := range visits {
		if count[v.Part] == 0 {
			parts = append(parts, v.Part)
		}
		sum[v.Part] += v.Mean
		count[v.Part]++
	}
	for j, part := range parts {
		k := curve{Label: part, Mark: marks()[j%len(marks())], Joined: true}
		for _, v := range visits {
			if v.Part == part {
				k.X, k.Y = append(k.X, float64(len(k.X)+1)), append(k.Y, v.Mean-sum[part]/count[part])
			}
		}
		out.Curves = append(out.Curves, k)
	}
	return out
}

// inOrder shows repeated readings in the order in which they were taken.
func (s gaugeSheet) inOrder(readings []float64) chart {
	k := curve{Mark: disc, Joined: true}
	var mean float64
	for i, v := range readings {
		k.X, k.Y = append(k.X, float64(i+1)), append(k.Y, v)
		mean += v / float64(len(readings))
	}
	out := chart{Title: "Readings in order", X: axis{Label: "reading", Whole: true}, Y: axis{Label: "reading, " + s.Unit}, Curves: []curve{k}}
	out.X.Min, out.X.Max = 0.5, float64(len(readings))+0.5
	out.Rules = []rule{{At: mean, Label: "mean"}}
	if sd := s.Repeat.SD; sd > 0 {
		out.Rules = append(out.Rules, rule{At: mean - 2*sd, Label: "− 2 sd", Dashed: true}, rule{At: mean + 2*sd, Label: "+ 2 sd", Dashed: true})
	}
	return out
}

// biases shows readings less known sizes, and the line through them.
func (s gaugeSheet) biases(blocks []gauge.Block) chart {
	out := chart{Title: "Reading less known size", X: axis{Label: "size, " + s.Unit}, Y: axis{Label: "bias, " + s.Unit}, Rules: []rule{{At: 0}}}
	all, line := curve{Label: "readings", Mark: ring}, curve{Label: "line", Joined: true}
	for _, b := range blocks {
		for _, v := range b.Readings {
			all.X, all.Y = append(all.X, b.Reference), append(all.Y, v-b.Reference)
		}
		line.X, line.Y = append(line.X, b.Reference), append(line.Y, s.Intercept+s.Slope*b.Reference)
	}
	out.Curves = []curve{all, line}
	if first, last := blocks[0].Reference, blocks[len(blocks)-1].Reference; first < last {
		out.X.Min, out.X.Max = first-0.04*(last-first), last+0.04*(last-first)
	}
	return out
}

// passes shows how the uncertainty falls with passes, and what it must fall to.
func (s gaugeSheet) passes() chart {
	d := s.Decides
	out := chart{
		Title: fmt.Sprintf("Passes averaged: what settles a zone of %s %s", short(d.Zone), s.Unit),
		X:     axis{Label: "passes", Whole: true}, Y: axis{Label: "u of a reading, " + s.Unit, Min: 0},
		Rules: []rule{{At: d.LargestU, Label: "too coarse above", Dashed: true}, {At: d.SharpU, Label: "sharp below", Dashed: true}, {At: 0}},
	}
	add := func(name string, rules []gauge.DecisionRule) {
		k := curve{Label: name, Joined: true, Mark: marks()[len(out.Curves)]}
		for _, r := range rules {
			k.X, k.Y = append(k.X, float64(r.Passes)), append(k.Y, r.U)
		}
		out.Curves = append(out.Curves, k)
	}
	if !d.OneHandMatters() {
		add("averaged", d.AnyHand)
		return out
	}
	add("any operator", d.AnyHand)
	add("one operator", d.OneHand)
	return out
}

// short prints a size without trailing noughts.
func short(v float64) string { return fmt.Sprintf("%.4g", v) }
