package draft

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
)

// Study is a gauge study on crowns of the neck, as it was begun.
type Study struct {
	Gauge  string   `json:"gauge,omitempty"`
	Unit   string   `json:"unit"` // mm or in: what the gauge shows
	Crowns []Site   `json:"crowns"`
	Hands  []string `json:"hands"`
	Trials int      `json:"trials"`
	Seed   uint64   `json:"seed"` // of crowns and order
}

// Step is one reading of a study: which hand reads which crown, and in which
// trial.
type Step struct {
	Crown Site
	Hand  string
	Trial int // from 1
}

// limits of a study
const (
	maxStudies  = 20
	maxCrowns   = 30
	maxHands    = 8
	maxTrials   = 10
	maxOfAGauge = 10_000 // mm or in
)

// NewStudy draws crowns of the neck, spread at random by the seed.
func (s *State) NewStudy(crowns int, study Study) Study {
	b := s.Bounds()
	var all []Site
	for f := max(1, b.FirstFret); f <= b.LastFret; f++ {
		for l := 1; l <= b.Strings; l++ {
			all = append(all, NewSite(float64(l), f))
		}
	}
	chance(study.Seed, 0).Shuffle(len(all), func(i, j int) { all[i], all[j] = all[j], all[i] })
	study.Crowns = slices.Clone(all[:max(0, min(crowns, len(all)))])
	return study
}

func chance(seed, of uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, of)) }

// Order is the order of a study's readings: trial after trial, in each the hands
// in random order and for each hand the crowns in an order of its own, so that
// nobody remembers what was read before.
func (y *Study) Order() []Step {
	r := chance(y.Seed, 1)
	var out []Step
	for trial := 1; trial <= y.Trials; trial++ {
		for _, h := range r.Perm(len(y.Hands)) {
			for _, c := range r.Perm(len(y.Crowns)) {
				out = append(out, Step{y.Crowns[c], y.Hands[h], trial})
			}
		}
	}
	return out
}

// StudyProgress is a study under way: its readings by place in the order, from 0.
type StudyProgress struct {
	Study
	Readings map[int]string
}

// Next is the first place in the order without a reading; that of the end where
// all are there.
func (y *StudyProgress) Next() int {
	n := 0
	for y.Readings[n] != "" {
		n++
	}
	return n
}

// Steps is how many readings the study has when it is done.
func (y *StudyProgress) Steps() int { return len(y.Crowns) * len(y.Hands) * y.Trials }

// BeginStudy begins a gauge study and gives its number, from 0.
func (k *Neck) BeginStudy(y Study, screen string) (number int, err error) {
	if err := errors.Join(typed("hand", strings.Join(y.Hands, " ")), typed("gauge", y.Gauge)); err != nil {
		return 0, err
	}
	_, err = k.do(Event{Kind: StudyBegun, Study: &y, Screen: screen}, func(s *State) error {
		number = len(s.Studies)
		return nil
	})
	return number, err
}

// TakeTrial keeps the reading at a place of a study's order; an empty one takes
// the last back. ErrConflict: another screen has put one there, or taken it away.
func (k *Neck) TakeTrial(study, place int, text, screen string) error {
	_, err := k.do(Event{Kind: Tried, Of: place, Stage: study, Reading: text, Screen: screen}, func(s *State) error {
		if study < 0 || study >= len(s.Studies) {
			return ErrNotFound
		}
		next := s.Studies[study].Next()
		if text == "" && place != next-1 || text != "" && place != next {
			return ErrConflict
		}
		return nil
	})
	return err
}

func (s *State) beginStudy(e Event) error {
	y := e.Study
	if y == nil {
		return refused("a study must say what it reads")
	}
	b := s.Bounds()
	for _, c := range y.Crowns {
		site, err := ParseSite(string(c))
		if err != nil || len(site.Frets()) != 1 || site.Fret() < b.FirstFret || site.Fret() > b.LastFret || site.Lane() < 1 || site.Lane() > float64(b.Strings) {
			return refused("no such crown")
		}
	}
	switch {
	case len(s.Studies) >= maxStudies:
		return refused("a neck can have at most %d studies", maxStudies)
	case len(y.Crowns) < 2 || len(y.Crowns) > maxCrowns:
		return refused("a study must read 2 to %d crowns", maxCrowns)
	case len(y.Hands) < 1 || len(y.Hands) > maxHands:
		return refused("name 1 to %d people who read", maxHands)
	case y.Trials < 2 || y.Trials > maxTrials:
		return refused("each person must read each crown 2 to %d times", maxTrials)
	case y.Unit != "mm" && y.Unit != "in":
		return refused("the gauge must show mm or in")
	}
	seen := map[string]bool{}
	for _, h := range y.Hands {
		if err := CheckName("hand", h); err != nil {
			return err
		}
		if h == "" || seen[h] {
			return refused("name each person once")
		}
		seen[h] = true
	}
	if err := CheckName("gauge", y.Gauge); err != nil {
		return err
	}
	s.Studies = append(s.Studies, &StudyProgress{Study: *y, Readings: map[int]string{}})
	return nil
}

func (s *State) try(e Event) error {
	if e.Stage < 0 || e.Stage >= len(s.Studies) {
		return refused("no such study")
	}
	y := s.Studies[e.Stage]
	if e.Of < 0 || e.Of >= y.Steps() {
		return refused("the study has %d readings", y.Steps())
	}
	if e.Reading == "" {
		delete(y.Readings, e.Of)
		return nil
	}
	v, err := strconv.ParseFloat(e.Reading, 64)
	if err != nil || !(math.Abs(v) <= maxOfAGauge) {
		return refused("%s is not a reading", fmt.Sprintf("%.40q", e.Reading))
	}
	y.Readings[e.Of] = e.Reading
	return nil
}
