package glue

import (
	"math"
	"slices"
	"strings"

	"ringtrue/internal/material"
	"ringtrue/internal/wood"
)

// What makes glue set slower or faster than published.
const (
	OfSurface  = "wood in place of steel"
	OfWarmth   = "temperature"
	OfHumidity = "humidity"
	OfAcid     = "acid wood"
)

// Factor multiplies a published time: Likely, within Range.
type Factor struct {
	Of     string    `json:"of"`
	Likely float64   `json:"likely"`
	Range  wood.Span `json:"range"`
}

// The air in which times are taken as published, and where glue blooms.
const (
	publishedC = 25.0
	dryPct     = 20.0
	usualLow   = 40.0
	usualHigh  = 60.0
	BloomsPct  = 70.0
)

// factors are what this air and this wood make of the published times. All of
// them are from memory, to about half: twice as long per 10 °C colder; 2 to 4
// times as long at 20 % humidity, once from 40 to 60 %, half from 70 %; 2 to 5
// times as long in acid wood. Between given humidities they run straight on a
// logarithmic scale. That wood sets glue as steel does is an estimate, to half.
func (c Case) factors() []Factor {
	list := []Factor{named(OfSurface, wood.Span{Low: 0.5, Likely: 1, High: 1.5})}
	if c.TempC != publishedC {
		list = append(list, named(OfWarmth, toHalf(math.Pow(2, (publishedC-c.TempC)/10))))
	}
	if f := humidityFactor(c.HumidityPct); f.Likely != 1 {
		list = append(list, named(OfHumidity, f))
	}
	if acid, surely := Acid(c.Wood); acid {
		f := wood.Span{Low: 2, Likely: math.Sqrt(10), High: 5}
		if !surely {
			f.Low = 1
		}
		list = append(list, named(OfAcid, f))
	}
	return list
}

func named(of string, s wood.Span) Factor { return Factor{Of: of, Likely: s.Likely, Range: s} }

// toHalf is a factor whose logarithm is known to half of itself.
func toHalf(f float64) wood.Span {
	a, b := math.Sqrt(f), f*math.Sqrt(f)
	return wood.Span{Low: min(a, b), Likely: f, High: max(a, b)}
}

func humidityFactor(pct float64) wood.Span {
	switch {
	case pct < usualLow:
		return power(wood.Span{Low: 2, Likely: math.Sqrt(8), High: 4}, min(1, (usualLow-pct)/(usualLow-dryPct)))
	case pct > usualHigh:
		return power(toHalf(0.5), min(1, (pct-usualHigh)/(BloomsPct-usualHigh)))
	}
	return wood.Span{Low: 1, Likely: 1, High: 1}
}

func power(s wood.Span, p float64) wood.Span {
	return wood.Span{Low: math.Pow(s.Low, p), Likely: math.Pow(s.Likely, p), High: math.Pow(s.High, p)}
}

// Acid says whether a wood is one of those whose acid slows cyanoacrylate
// (rosewood, ebony, oak: from memory), and whether every wood of that name is.
func Acid(w material.Wood) (acid, surely bool) {
	surely = true
	for _, s := range w.All() {
		is := slices.ContainsFunc(strings.Fields(s.Name), func(word string) bool { return word == "rosewood" || word == "ebony" || word == "oak" })
		acid, surely = acid || is, surely && is
	}
	return acid, acid && surely
}
