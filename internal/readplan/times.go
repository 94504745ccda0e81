package readplan

import (
	"slices"
	"time"
)

// Times are how long a maker takes: for a reading, and more for setting the gauge up.
// Times of 0 are taken as usual.
type Times struct{ ReadingS, SetupS float64 } // seconds

// Usual times are an assumption: eight seconds a reading, twenty a set-up.
func Usual() Times { return Times{ReadingS: 8, SetupS: 20} }

// orUsual takes what is missing as usual.
func (t Times) orUsual() Times {
	if !(t.ReadingS > 0) {
		t.ReadingS = Usual().ReadingS
	}
	if !(t.SetupS > 0) {
		t.SetupS = Usual().SetupS
	}
	return t
}

// Minutes is how long a set takes.
func (s Set) Minutes(t Times) float64 {
	t = t.orUsual()
	return (float64(s.Readings())*t.ReadingS + float64(s.Setups())*t.SetupS) / 60
}

// Stamp is when a reading was taken down.
type Stamp struct {
	Lane float64
	At   time.Time
}

// What is taken from stamps: a pause is no reading; fewer gaps tell nothing.
const (
	longestReading = 2 * time.Minute
	enoughReadings = 10
	enoughSetups   = 3
)

// TimesOf learns times from the stamps of passes, each in order of time: the middle gap
// between readings of one lane, and what the middle gap at a change of lane takes
// beyond it. Where there are too few, a time is 0.
func TimesOf(passes [][]Stamp) Times {
	var within, between []time.Duration
	for _, pass := range passes {
		for i := 1; i < len(pass); i++ {
			gap := pass[i].At.Sub(pass[i-1].At)
			switch {
			case gap <= 0 || gap > longestReading:
			case pass[i].Lane == pass[i-1].Lane:
				within = append(within, gap)
			default:
				between = append(between, gap)
			}
		}
	}
	var t Times
	if len(within) >= enoughReadings {
		t.ReadingS = middle(within).Seconds()
		if len(between) >= enoughSetups {
			t.SetupS = max(0, middle(between).Seconds()-t.ReadingS)
		}
	}
	return t
}

func middle(d []time.Duration) time.Duration {
	slices.Sort(d)
	return d[len(d)/2]
}
