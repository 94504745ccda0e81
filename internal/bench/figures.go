package bench

import (
	"html/template"
	"math"
	"strconv"
	"strings"

	"ringtrue/internal/num"
	"ringtrue/internal/text"
	"ringtrue/internal/unit"
	"ringtrue/internal/wear"
)

// figures are how templates print an answer's numbers. One that is missing is
// printed as nothing.
func figures() template.FuncMap {
	return template.FuncMap{
		"kind":   kindOf,
		"when":   moment,
		"day":    day,
		"pieces": strings.Fields,
		"list":   func(frets []int) string { return strings.ReplaceAll(seatedWords(frets), ",", ", ") },
		"lane":   unit.Decimal,
		"dec":    dec,
		"mm":     func(v any) string { return ending(dec(3, v), " mm") },
		"mm2":    func(v any) string { return ending(dec(2, v), " mm") },
		"reached": func(y *wear.LeastCrownYear) string {
			return text.Reached(y.SoonestYear, y.LatestYear, y.BelowAlready)
		},
		"called": func(serial, name string) string { return strings.TrimSpace(serial + " " + name) },
		"up": func(v num.Opt) num.Opt {
			x, ok := v.Get()
			if !ok {
				return v
			}
			return num.Some(math.Copysign(num.RoundUp(math.Abs(x), 100), x))
		},
		"mm2up": func(v any) string {
			if x, ok := numberOf(v); ok {
				return mm2(num.RoundUp(x, 100))
			}
			return ""
		},
	}
}

// numberOf is the number that a field of an answer holds.
func numberOf(v any) (x float64, known bool) {
	switch v := v.(type) {
	case float64:
		return v, true
	case *float64:
		if v != nil {
			return *v, true
		}
	case interface{ Get() (float64, bool) }:
		return v.Get()
	}
	return math.NaN(), false
}

// dec is a number with so many decimals, without the sign of a zero.
func dec(digits int, v any) string {
	x, ok := numberOf(v)
	if !ok {
		return ""
	}
	return strconv.FormatFloat(x+0, 'f', digits, 64)
}

// capital makes words begin a line of their own.
func capital(words string) string {
	if words != "" && words[0] >= 'a' && words[0] <= 'z' {
		return strings.ToUpper(words[:1]) + words[1:]
	}
	return words
}

// ending puts a unit behind a number that is there.
func ending(text, unit string) string {
	if text == "" {
		return ""
	}
	return text + unit
}
