package draft

// Tick is a box of the plan's card: one crown and the metal that the plan takes
// off it. A plan that asks for more or less has boxes of its own, so that no
// tick stands for work that was not done.
type Tick struct {
	Site   Site `json:"site"`
	Micron int  `json:"micron"`        // metal to take off, in µm
	Off    bool `json:"off,omitempty"` // the box was cleared
}

// maxTicks is how many boxes one change may tick: all of the largest neck.
const maxTicks = 61 * maxLanes

// Tick ticks or clears boxes of a stage's card. Boxes that are so already are
// left; where all are, nothing is written.
func (k *Neck) Tick(stage int, ticks []Tick, screen string) error {
	var change []Tick
	k.Read(func(s *State) {
		for _, t := range ticks {
			if s.IsTicked(stage, t) == t.Off {
				change = append(change, t)
			}
		}
	})
	if len(change) == 0 {
		return nil
	}
	_, err := k.do(Event{Kind: Ticked, Stage: stage, Ticks: change, Screen: screen}, allowed)
	return err
}

// IsTicked reports whether a box is ticked; t.Off does not count.
func (s *State) IsTicked(stage int, t Tick) bool {
	t.Off = false
	return s.ticks[stage][t]
}

// AnyTicked reports whether any box of a stage's card is ticked.
func (s *State) AnyTicked(stage int) bool { return len(s.ticks[stage]) > 0 }

func (s *State) tick(e Event) error {
	if e.Stage < 0 || e.Stage > s.Stage() || len(e.Ticks) > maxTicks {
		return refused("no such card")
	}
	b := s.Bounds()
	for _, t := range e.Ticks {
		site, err := ParseSite(string(t.Site))
		if err != nil || len(site.Frets()) != 1 || site.Fret() < b.FirstFret || site.Fret() > b.LastFret ||
			!(site.Lane() >= 1 && site.Lane() <= float64(b.Strings)) || t.Micron < 1 || t.Micron > maxMicron {
			return refused("no such box on the card")
		}
	}
	if s.ticks[e.Stage] == nil {
		s.ticks[e.Stage] = map[Tick]bool{}
	}
	for _, t := range e.Ticks {
		off := t.Off
		t.Off = false
		if off {
			delete(s.ticks[e.Stage], t)
		} else if len(s.ticks[e.Stage]) < maxTicks*4 {
			s.ticks[e.Stage][t] = true
		}
	}
	return nil
}

// maxMicron is more metal than any crown has.
const maxMicron = 5000
