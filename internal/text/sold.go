package text

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// What a sentence tells to buy or to take from the rack, an inch shop has in sizes
// of its own. The exact size stays first; the size that is sold stands beside it.
// Sets of leaves, blocks' radii and cutters' steps: common practice, from memory.

// inchLeaves are the leaves of usual sets, in thousandths, the thinnest first.
func inchLeaves() []float64 {
	return []float64{1, 1.5, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18, 19, 20, 22, 25, 28, 30, 32, 35}
}

// inchBlocks are radii of blocks that are sold, in inches.
func inchBlocks() []float64 { return []float64{7.25, 9.5, 10, 12, 14, 15, 16, 20} }

// leafSlackThou is how far over a leaf's thickness as said, to a tenth, a sold one may
// be: with the rounding less than the 3 µm that a hand feels (feelers.FeltMM).
const leafSlackThou = 0.06

// asSold adds the sizes that are sold to a sentence that is in inches.
func asSold(words string) string {
	switch {
	case strings.Contains(words, " leaf") || strings.Contains(words, "leaves"):
		return soldLeaves(words)
	case strings.Contains(words, "radius block"), strings.Contains(words, "a radius of "):
		return soldBlocks(words)
	case strings.Contains(words, "a slot of "):
		return beside(words, `a slot of ([\d.]+) thou`, func(thou float64) string {
			return fmt.Sprintf("nearest cutter %.0f thou", thou)
		})
	}
	return words
}

// soldLeaves names the next leaf of an inch set that is no thicker: what does not
// enter there does not enter with the exact one.
func soldLeaves(words string) string {
	leaf := func(thou float64) string {
		best := 0.0
		for _, v := range inchLeaves() {
			if v <= thou+leafSlackThou {
				best = v
			}
		}
		if best == 0 {
			return "thinner than usual inch sets"
		}
		return fmt.Sprintf("in an inch set %g thou", best)
	}
	words = beside(words, `\ba ([\d.]+) thou leaf`, leaf)
	words = beside(words, `\ba leaf of ([\d.]+) thou`, leaf)
	return beside(words, `leaves in steps of ([\d.]+) thou`, func(thou float64) string {
		if thou < 1-leafSlackThou {
			return "finer than usual inch sets"
		}
		return "inch sets step by 1 thou"
	})
}

// soldBlocks names the nearest block, within a twentieth, of a radius to sand to; of a
// radius that is needed at least, the next flatter one.
func soldBlocks(words string) string {
	near := func(in float64) string {
		best := math.Inf(1)
		for _, v := range inchBlocks() {
			if math.Abs(v-in) < math.Abs(best-in) {
				best = v
			}
		}
		if math.Abs(best-in) > in/20 {
			return ""
		}
		return "nearest block " + fraction(best) + " in"
	}
	words = beside(words, `radius block as listed(?: below)?, ([\d.]+) in`, near)
	words = beside(words, `radius block as listed(?: below)?, [^,:]* at the nut to ([\d.]+) in at the last slot`, near)
	return beside(words, `a radius of ([\d.]+) in`, func(in float64) string {
		for _, v := range inchBlocks() {
			if v >= in {
				return "next flatter block " + fraction(v) + " in"
			}
		}
		return ""
	})
}

// beside puts a remark behind each place that a pattern finds, made of the size that
// its group holds; none where the remark is empty.
func beside(words, pattern string, remark func(size float64) string) string {
	re := regexp.MustCompile(pattern)
	var b strings.Builder
	done := 0
	for _, m := range re.FindAllStringSubmatchIndex(words, -1) {
		size, err := strconv.ParseFloat(words[m[2]:m[3]], 64)
		if err != nil || strings.HasPrefix(words[m[1]:], " (") { // it has its remark
			continue
		}
		b.WriteString(words[done:m[1]])
		if say := remark(size); say != "" {
			b.WriteString(" (" + say + ")")
		}
		done = m[1]
	}
	return b.String() + words[done:]
}

// fraction writes a size in inches in eighths where it is one: 7 1/4.
func fraction(in float64) string {
	whole, part := math.Modf(in)
	eighths := math.Round(part * 8)
	if math.Abs(part*8-eighths) > 1e-9 {
		return strconv.FormatFloat(in, 'f', -1, 64)
	}
	if eighths == 0 {
		return strconv.FormatFloat(whole, 'f', 0, 64)
	}
	of := 8.0
	for math.Mod(eighths, 2) == 0 {
		eighths, of = eighths/2, of/2
	}
	return fmt.Sprintf("%.0f %.0f/%.0f", whole, eighths, of)
}
