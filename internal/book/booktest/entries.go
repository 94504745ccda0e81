package booktest

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"sync"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/num"
	"ringtrue/internal/straight"
)

// Entry is an invented record of neck number n: six lanes of 22 crowns, drawn
// from a seed, with files and derived values as a real one has them.
func Entry(n int, stage string, seed uint64) *book.Entry {
	rng := rand.New(rand.NewPCG(seed, uint64(n)))
	var csv strings.Builder
	csv.WriteString("method,lane,fret,reading,unit\n")
	var crowns []book.Crown
	worst := 0.0
	for lane := 1; lane <= 6; lane++ {
		for fret := 1; fret <= 22; fret++ {
			z := 0.4 + 0.008*rng.NormFloat64()
			fmt.Fprintf(&csv, "beam,%d,%d,%.3f,mm\n", lane, fret, z)
			crowns = append(crowns, book.Crown{Fret: fret, Lane: float64(lane), OffMM: z - 0.4, UMM: 0.004})
			worst = max(worst, z-0.4, 0.4-z)
		}
	}
	d := book.Derived{
		Program: "test", Revision: n % 3, Model: "Heron 22", States: "slack", Crowns: packed(crowns),
		Figures: book.Figures{Verdict: string(straight.NotLevel), ZoneMM: num.Some(2 * worst), WorstMM: num.Some(worst), MetalMM: num.Some(20 * worst), MostMM: num.Some(worst), FretsOff: n % 4},
		Taken:   time.Date(2024, 1, 8, 0, 0, 0, 0, time.UTC).AddDate(0, 0, n%730),
	}
	return &book.Entry{
		Serial: fmt.Sprintf("%06d", n), Stage: stage, By: "Ines", Derived: d,
		Tags: book.Tags{"wire": fmt.Sprintf("lot%d", 6+n%2), "press": "arbor"},
		Files: book.Files{
			Neck:     book.File{Name: "heron.toml", Bytes: []byte("name = \"Heron 22\"\n")},
			Readings: book.File{Name: fmt.Sprintf("%06d.csv", n), Bytes: []byte(csv.String())},
		},
	}
}

// packed packs a fixture's crowns.
func packed(crowns []book.Crown) book.Packed {
	p, err := book.Pack(crowns)
	if err != nil {
		panic(err) // the fixture's own sizes always fit
	}
	return p
}

// Clock is a clock that a test sets. Several goroutines may ask it.
type Clock struct {
	At time.Time

	mu sync.Mutex
}

// Now gives its time and moves it on by a second.
func (c *Clock) Now() time.Time {
	c.mu.Lock()
	defer c.mu.Unlock()
	c.At = c.At.Add(time.Second)
	return c.At
}
