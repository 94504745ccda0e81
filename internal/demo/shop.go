package demo

import (
	_ "embed"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"time"

	"ringtrue/internal/book"
)

//go:embed data/heron.toml
var neckFile string

// first is the day on which the first neck is read.
func first() time.Time { return time.Date(2024, 3, 4, 0, 0, 0, 0, time.UTC) }

// Days over which necks are made, and until the last visit is read.
const (
	daysOfMaking = 730
	lastDay      = 800
)

// Planted says in words what was put in, for those who look for it.
func Planted() []string {
	return []string{
		"from wire lot7 on, fret 14 sits 0.025 mm high",
		"the arbor press wears from its second half-year on: frets go in unevenly and treble ends stay up, more and more",
		"Rolf sees less and forgets an end now and then; his dial is misread at times",
		"rosewood boards bow with the seasons, ebony ones stay",
		"some necks come back for service, worn under the plain strings; a few have a fret end that sprang up",
	}
}

// Visits invents so many necks, and gives each one's visits as they go into the
// book, in order of time, judged by nobody yet.
func Visits(necks int, seed uint64) []*book.Entry {
	var all []*book.Entry
	for k := range necks {
		r := rand.New(rand.NewPCG(seed, uint64(k)))
		all = append(all, newNeck(r, k, necks).visits()...)
	}
	slices.SortStableFunc(all, func(a, b *book.Entry) int { return a.Added.Compare(b.Added) })
	return all
}

// workday moves a day off the weekend.
func workday(day int) time.Time {
	t := first().AddDate(0, 0, day)
	switch t.Weekday() {
	case time.Saturday:
		return t.AddDate(0, 0, 2)
	case time.Sunday:
		return t.AddDate(0, 0, 1)
	}
	return t
}

// season is −1 in the driest days of winter and 1 in the dampest of summer.
func season(t time.Time) float64 {
	return math.Sin(2 * math.Pi * (float64(t.YearDay()) - 120) / 365)
}

// neckText is the neck file of a model with the wire of a lot.
func neckText(short bool, lot string) string {
	text := neckFile
	if short {
		text = swapped(text, `name = "Heron 22"`, `name = "Heron 20"`)
		text = swapped(text, `length = "640 mm"`, `length = "610 mm"`)
		text = swapped(text, "frets = 22", "frets = 20")
	}
	if lot == "lot7" {
		text = swapped(text, `tang_width = "0.52 mm"`, `tang_width = "0.53 mm"`)
		text = swapped(text, "hardness = 200", "hardness = 195")
	}
	return text
}

// woodText is the neck file of a board of a wood, slotted at a moisture.
func woodText(moisture, wood string) string {
	text := swapped(neckFile, "moisture = 7.0", "moisture = "+moisture)
	return swapped(text, `wood = "ebony"`, `wood = "`+wood+`"`)
}

// swapped is the neck file with something else in one place.
func swapped(text, old, with string) string {
	if strings.Count(text, old) != 1 {
		panic("workshop: the neck file no longer says " + old) // its own file: a test reads it
	}
	return strings.Replace(text, old, with, 1)
}
