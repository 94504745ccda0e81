package demo

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
)

// maker is a hand in the shop.
type maker struct {
	name    string
	seatMM  float64 // scatter of how high frets go in
	readMM  float64 // scatter of a reading
	forgets float64 // chance of an end left up
	misread float64 // chance of a misread dial, a neck
}

func makers() []maker {
	return []maker{
		{"Ines", 0.004, 0.002, 0.06, 0.02},
		{"Tove", 0.0045, 0.0025, 0.08, 0.02},
		{"Rolf", 0.008, 0.003, 0.45, 0.15},
	}
}

// Sizes of what is planted, in mm.
const (
	highFret   = 14
	highFretMM = 0.025 // since lot7
	pressFrom  = 0.25  // share of the two years after which the press wears
	pressEnds  = 0.6   // chance of an end left up by the worn press, at the end
	newLotFrom = 0.48  // share of the two years after which lot7 is used
	seasonMM   = 0.010 // bow of a rosewood board from the year's mean to its driest
	filedMM    = 0.0015
	sprungMM   = 0.05
)

// invented is one neck: how its frets stand, and who has it in hand.
type invented struct {
	r      *rand.Rand
	serial string
	day    int
	toml   string
	layout *geometry.Layout
	by     maker
	tags   map[string]string
	frets  []int
	lanes  int
	z      [][]float64 // height of each fret in each lane over the shape, mm
	filed  [][]float64 // what a file and strings have taken
	offEnd int         // a fret with an end left up; 0: none

	driedMM float64 // bow of a board that was too wet, since it was slotted
}

func newNeck(r *rand.Rand, k, necks int) *invented {
	share := (float64(k) + 0.5) / float64(necks)
	n := &invented{r: r, serial: fmt.Sprintf("%04d", 1001+k), day: int(share * daysOfMaking)}
	lot := "lot5"
	if share > newLotFrom {
		lot = "lot7"
	}
	n.by = pick(r, makers(), 0.45, 0.8)
	press := pick(r, []string{"arbor", "lever", "lever"}, 0.6, 1)
	wood := pick(r, []string{"ebony", "rosewood", "rosewood"}, 0.65, 1)
	n.tags = map[string]string{"wire": lot, "press": press, "hand": n.by.name, "wood": wood}
	n.lay(neckText(r.Float64() < 0.1, lot))
	n.seat(share)
	return n
}

// lay lays the neck out by its file.
func (n *invented) lay(toml string) {
	n.toml = toml
	m, err := neck.Parse("heron.toml", []byte(n.toml))
	if err == nil {
		n.layout, err = geometry.New(m)
	}
	if err != nil {
		panic(err) // its own file: a test reads it
	}
	n.lanes = n.layout.Strings()
	for f := n.layout.FirstFret(); f <= n.layout.LastFret(); f++ {
		n.frets = append(n.frets, f)
	}
}

// pick draws one of three by where a random share falls.
func pick[T any](r *rand.Rand, of []T, first, second float64) T {
	switch s := r.Float64(); {
	case s < first:
		return of[0]
	case s < second:
		return of[1]
	}
	return of[2]
}

// seat presses the frets in.
func (n *invented) seat(share float64) {
	worn := 0.0
	if n.tags["press"] == "arbor" {
		worn = math.Max(0, (share-pressFrom)/(1-pressFrom))
	}
	if n.r.Float64() < n.by.forgets+pressEnds*worn {
		n.offEnd = n.frets[2+n.r.IntN(len(n.frets)-4)]
	}
	for _, f := range n.frets {
		height := n.by.seatMM * (1 + worn) * n.normal()
		tilt := 0.6 * n.by.seatMM * (1 + worn) * n.normal()
		if f == highFret && n.tags["wire"] == "lot7" {
			height += highFretMM + 0.004*n.normal()
		}
		row := make([]float64, n.lanes)
		for l := range row {
			treble := 1 - float64(l)/float64(n.lanes-1)
			row[l] = height + tilt*(treble-0.5)
			if f == n.offEnd {
				row[l] += 0.075 * treble
			}
		}
		n.z = append(n.z, row)
		n.filed = append(n.filed, make([]float64, n.lanes))
	}
}

// normal is a normal number cut off at three.
func (n *invented) normal() float64 {
	for {
		if v := n.r.NormFloat64(); math.Abs(v) <= 3 {
			return v
		}
	}
}

// refit presses the fret with its end up again.
func (n *invented) refit() {
	for i, f := range n.frets {
		if f == n.offEnd {
			height := 0.004 * n.normal()
			for l := range n.z[i] {
				n.z[i][l] = height + 0.001*n.normal()
			}
		}
	}
}

// level files every crown down to one height, as far as it stands above it.
func (n *invented) level() {
	var all []float64
	for _, row := range n.z {
		all = append(all, row...)
	}
	slices.Sort(all)
	cut := all[len(all)/8]
	for i, row := range n.z {
		for l := range row {
			if was := row[l]; was > cut {
				row[l] = cut + filedMM*n.normal()
				n.filed[i][l] += was - row[l]
			}
		}
	}
}

// wornMM is how deep a year of hard playing wears the first fret.
const wornMM = 0.14

// play wears the first frets under the plain strings for some days: a groove
// deepens with the square root of the playing.
func (n *invented) play(days int, hard float64) {
	root := math.Sqrt(float64(days) / 365)
	for i, f := range n.frets {
		if f > 7 {
			continue
		}
		for l := range n.z[i] {
			plain := []float64{0.6, 1, 0.8, 0.35, 0.2, 0.15}[min(l, 5)]
			d := wornMM * hard * root * plain * math.Exp(-float64(f-1)/3) * (0.8 + 0.4*n.r.Float64())
			n.z[i][l] -= d
			n.filed[i][l] += d
		}
	}
}

// spring lets one end of a fret come up.
func (n *invented) spring() {
	i := 5 + n.r.IntN(len(n.frets)-8)
	for l := range n.z[i] {
		n.z[i][l] += sprungMM * (1 - float64(l)/float64(n.lanes-1))
	}
}

// visits are a neck's visits.
func (n *invented) visits() []*book.Entry {
	var out []*book.Entry
	add := func(stage string, day, passes int, note string) *book.Entry {
		out = append(out, n.read(stage, workday(day), passes, note))
		return out[len(out)-1]
	}
	slip := n.r.Float64() < n.by.misread
	seated := add("seated", n.day, 1, "")
	if slip {
		again := *seated
		seated.Files.Readings.Bytes = misread(n.r, again.Files.Readings.Bytes)
		wrong := seated.Identity()
		again.Corrects, again.Why, again.By = &wrong, "a dial was misread", "Ines"
		again.Added = again.Added.Add(90 * time.Minute)
		out = append(out, &again)
	}
	day := n.day + 2 + n.r.IntN(4)
	if n.offEnd > 0 && n.r.Float64() < 0.7 {
		n.refit()
		add("refitted", day, 1, fmt.Sprintf("fret %d pressed again and glued", n.offEnd))
		day += 2 + n.r.IntN(3)
	}
	n.level()
	add("levelled", day, 1, "")
	away := 200 + n.r.IntN(420)
	if comes := n.r.Float64() < 0.35; comes && day+away < lastDay {
		n.play(away, 0.5+n.r.Float64())
		if n.r.Float64() < 0.15 {
			n.spring()
		}
		add("serviced", day+away, 2, "back for service, strings off")
	}
	return out
}
