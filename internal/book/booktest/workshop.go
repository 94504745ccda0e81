package booktest

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"strconv"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/num"
	"ringtrue/internal/straight"
)

// Workshop invents the records of many necks, for charts and benchmarks: files
// as real ones, but what is derived is made up with them, not worked out from
// them. From neck LotAt on the wire is of lot 7, whose fret 14 stands 21 µm
// high; every fifth neck is Bram's, who leaves the frets' ends proud.
type Workshop struct {
	Necks int
	Seed  uint64
	Years int // that they are spread over; 0: two
}

// Sizes of what is planted, in mm.
const (
	LotHighMM   = 0.021
	EndsProudMM = 0.015
	noiseMM     = 0.006
)

// LotAt is the first neck, from 1, whose wire is of lot 7.
func (w Workshop) LotAt() int { return w.Necks*46/100 + 1 }

// Entry is neck n, from 1, as it was seated: six lanes of 24 crowns.
func (w Workshop) Entry(n int) *book.Entry {
	const lanes, frets = 6, 24
	rng := rand.New(rand.NewPCG(w.Seed, uint64(n)))
	tags := book.Tags{"wire": "lot6", "hand": "Ines", "bend": strconv.FormatFloat(254+rng.NormFloat64(), 'f', 1, 64) + " mm"}
	if n >= w.LotAt() {
		tags["wire"] = "lot7"
	}
	if n%5 == 0 {
		tags["hand"] = "Bram"
	}
	csv := []byte("method,lane,fret,reading,unit\n")
	crowns := make([]book.Crown, 0, lanes*frets)
	zone, worst, metal, most, off := 0.0, 0.0, 0.0, 0.0, 0
	for lane := 1; lane <= lanes; lane++ {
		low, high := math.Inf(1), math.Inf(-1)
		for fret := 1; fret <= frets; fret++ {
			z := noiseMM * rng.NormFloat64()
			if fret == 14 && tags["wire"] == "lot7" {
				z += LotHighMM
			}
			if tags["hand"] == "Bram" && (lane == 1 || lane == lanes) && fret%3 == 0 {
				z += EndsProudMM
			}
			z = math.Round(1000*z) / 1000
			csv = fmt.Appendf(csv, "beam,%d,%d,", lane, fret)
			csv = append(strconv.AppendFloat(csv, 0.4+z, 'f', 3, 64), ",mm\n"...)
			crowns = append(crowns, book.Crown{Fret: fret, Lane: float64(lane), OffMM: z, UMM: 0.004})
			low, high, worst = min(low, z), max(high, z), max(worst, math.Abs(z))
			if z > 0.015 {
				metal, most, off = metal+z-0.015, max(most, z-0.015), off+1
			}
		}
		zone = max(zone, high-low)
	}
	d := book.Derived{
		Program: "invented", Model: "Heron 24", States: "slack",
		Figures: book.Figures{Verdict: string(straight.Level), ZoneMM: num.Some(zone), WorstMM: num.Some(worst), MetalMM: num.Some(metal), MostMM: num.Some(most), FretsOff: off / 4},
		Crowns:  packed(crowns), Taken: w.taken(n),
	}
	if zone > 0.035 {
		d.Verdict = string(straight.NotLevel)
	}
	if off > 9 {
		d.Refits = 1
	}
	return &book.Entry{
		Serial: fmt.Sprintf("%06d", n), Stage: "seated", Tags: tags, Derived: d,
		Files: book.Files{Neck: book.File{Name: "heron.toml", Bytes: []byte("name = \"Heron 24\"\n")}, Readings: book.File{Name: "seated.csv", Bytes: csv}},
	}
}

// taken spreads the necks over the workshop's years.
func (w Workshop) taken(n int) time.Time {
	years := time.Duration(cmp.Or(w.Years, 2))
	return time.Date(2026, 1, 8, 8, 0, 0, 0, time.UTC).AddDate(-int(years), 0, 0).Add(time.Duration(float64(years*365*24*time.Hour) * float64(n-1) / float64(w.Necks))).Truncate(time.Second)
}
