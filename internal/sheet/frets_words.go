package sheet

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"ringtrue/internal/draw"
	"ringtrue/internal/text"
)

// wordsItem is a finding: a label set bold, then what was found, then what to do.
type wordsItem struct{ label, text, advice string }

// items are the findings in the order in which they matter at the bench.
func (f *fretsSheet) items() []wordsItem {
	var all []wordsItem
	var again, open []cellKey
	for _, r := range f.Recheck {
		again = append(again, cellKey{r.Fret, r.Lane})
	}
	for _, u := range f.Undetermined {
		open = append(open, cellKey{u.Fret, u.Lane})
	}
	if len(again) > 0 {
		all = append(all, wordsItem{"Read again", places(again) + ": disagrees with the rest and was set aside", ""})
	}
	for _, n := range f.Findings {
		all = append(all, wordsItem{"Whole neck", n.Finding, n.Advice})
	}
	warnings := f.Warnings
	if k := f.Work; k != nil {
		warnings = slices.Concat(warnings, k.Warnings)
		var first []int
		for _, n := range k.First {
			first = append(first, n.Fret)
		}
		if len(first) > 0 {
			all = append(all, wordsItem{"First", text.SeeTo(first), ""})
		}
	}
	if f.WhyNot != "" {
		all = append(all, wordsItem{"File nothing yet", f.WhyNot, ""})
	}
	for _, n := range f.Frets {
		all = append(all, wordsItem{"Fret " + strconv.Itoa(n.Fret), n.Finding, n.Advice})
	}
	if len(open) > 0 {
		all = append(all, wordsItem{"Not determined", places(open), ""})
	}
	for _, w := range warnings {
		all = append(all, wordsItem{"Note", w, ""})
	}
	return all
}

// places names crowns by fret, the lanes of one fret together; of many it says
// how many there are.
func places(all []cellKey) string {
	const most = 8
	byFret := map[int][]float64{}
	for _, q := range all {
		byFret[q.fret] = append(byFret[q.fret], q.lane)
	}
	if len(byFret) > most {
		return fmt.Sprintf("%s on %s", text.Count(len(all), "crown"), text.Count(len(byFret), "fret"))
	}
	frets := make([]int, 0, len(byFret))
	for fret := range byFret {
		frets = append(frets, fret)
	}
	slices.Sort(frets)
	var words []string
	for _, fret := range frets {
		lanes := byFret[fret]
		slices.Sort(lanes)
		lanes = slices.Compact(lanes)
		if len(lanes) > 3 {
			words = append(words, fmt.Sprintf("fret %d in %s", fret, text.Count(len(lanes), "lane")))
			continue
		}
		var names []string
		for _, lane := range lanes {
			names = append(names, laneName(lane))
		}
		lane := "lane"
		if len(names) > 1 {
			lane = "lanes"
		}
		words = append(words, fmt.Sprintf("fret %d %s %s", fret, lane, strings.Join(names, " and ")))
	}
	return strings.Join(words, ", ")
}

// foot is the sheet's foot: what comes next, and a caution where metal is filed.
func (f *fretsSheet) foot() foot {
	k := f.Work
	switch {
	case f.changes != nil:
		return f.changes.foot
	case k != nil && len(k.Crowns) > 0 && len(k.First)+len(f.Recheck) > 0:
		return foot{next: text.NextMend, notes: []string{text.FilingCare}}
	case k != nil && len(k.Crowns) > 0:
		return foot{next: text.NextCrown, notes: []string{text.FilingCare}}
	case moodOfFrets(f.Verdict) != well:
		return foot{next: text.NextMend}
	}
	return foot{next: text.NextSetUp}
}

// wordsLine is a line of a finding: its label on the first, and words.
type wordsLine struct{ label, words string }

// drawWords writes the findings into a box in so many columns, as large and as
// full as it holds: first smaller, then without the advice, and where even that
// is too long, with the rest named. It returns the height used.
func (f *fretsSheet) drawWords(box draw.Box, columns int) float64 {
	const between = 8.0
	width := (box.W - between*float64(columns-1)) / float64(columns)
	foot := f.foot()
	room := box.H - foot.high(f.p)
	items := f.items()
	sizes := []float64{9, 8.5, 8, 7.5, 7, 6.5}
	var blocks [][]wordsLine
	set := draw.Type{SizePt: sizes[0]}
	fits := false
	for _, advice := range []bool{true, false} {
		for _, size := range sizes {
			if set.SizePt = size; fits {
				break
			}
			blocks = f.blocks(items, set, width, advice)
			if fits = columnsFit(blocks, lineCount(room, set), columns); fits {
				break
			}
		}
		if fits {
			break
		}
	}
	if !fits {
		blocks = f.shorten(items, set, width, lineCount(room, set), columns)
	}
	used := f.setBlocks(blocks, set, draw.Box{X: box.X, Y: box.Y, W: width, H: room}, between)
	y := box.Y + used
	if !math.IsInf(box.H, 1) {
		y = box.Y + room
	}
	return foot.draw(f.p, y) - box.Y
}

func lineCount(room float64, set draw.Type) int {
	if math.IsInf(room, 1) {
		return math.MaxInt32
	}
	return max(0, int((room+0.01)/set.LineMM()))
}

// blocks breaks each finding into lines beside its label.
func (f *fretsSheet) blocks(items []wordsItem, set draw.Type, width float64, advice bool) [][]wordsLine {
	var all [][]wordsLine
	for _, item := range items {
		words := item.text
		if advice && item.advice != "" {
			words += "; " + item.advice
		}
		var lines []wordsLine
		for _, part := range f.p.Wrap(words, set, (width-f.labelRoom(set))/wordSlack) {
			lines = append(lines, wordsLine{words: part})
		}
		if len(lines) > 0 {
			lines[0].label = item.label
			all = append(all, lines)
		}
	}
	return all
}

// labelRoom is the width of the labels' own column.
func (f *fretsSheet) labelRoom(set draw.Type) float64 {
	set.Bold = true
	widest := 0.0
	for _, item := range f.items() {
		widest = math.Max(widest, f.p.Width(item.label, set))
	}
	return labelSlack*widest + 2
}

// columnsFit says whether whole blocks, one after another, fit the columns.
func columnsFit(blocks [][]wordsLine, lines, columns int) bool {
	column, used := 1, 0
	for _, b := range blocks {
		if used+len(b) > lines {
			column, used = column+1, 0
		}
		if used += len(b); used > lines || column > columns {
			return false
		}
	}
	return true
}

// shorten keeps the first findings, without advice, and names where the others
// are.
func (f *fretsSheet) shorten(items []wordsItem, set draw.Type, width float64, lines, columns int) [][]wordsLine {
	for keep := len(items) - 1; keep >= 0; keep-- {
		var labels []string
		for _, item := range items[keep:] {
			labels = append(labels, strings.ToLower(item.label))
		}
		more := wordsItem{label: "More", text: "in the listing: " + strings.Join(slices.Compact(labels), ", ")}
		blocks := f.blocks(append(slices.Clone(items[:keep]), more), set, width, false)
		if columnsFit(blocks, lines, columns) {
			return blocks
		}
	}
	more := wordsItem{label: "More", text: "in the listing: " + text.Count(len(items), "finding")}
	if blocks := f.blocks([]wordsItem{more}, set, width, false); columnsFit(blocks, lines, columns) {
		return blocks
	}
	return nil
}

// setBlocks writes blocks into columns and returns the height of the tallest.
func (f *fretsSheet) setBlocks(blocks [][]wordsLine, set draw.Type, box draw.Box, between float64) float64 {
	bold := set.At(draw.Start, draw.Below)
	bold.Bold = true
	plain := set.At(draw.Start, draw.Below)
	lines := lineCount(box.H, set)
	x, used, tallest := box.X, 0, 0
	for _, b := range blocks {
		if used+len(b) > lines {
			x, used = x+box.W+between, 0
		}
		for i, line := range b {
			y := box.Y + float64(used+i)*set.LineMM()
			f.p.Text(x, y, line.label, bold)
			f.p.Text(x+f.labelRoom(set), y, line.words, plain)
		}
		used += len(b)
		tallest = max(tallest, used)
	}
	return float64(tallest) * set.LineMM()
}
