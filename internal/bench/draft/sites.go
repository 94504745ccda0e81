package draft

import (
	"slices"

	"ringtrue/internal/reading"
)

// Sites lists where a pass reads, in its order. Do not change the list.
func (s *State) Sites(p *Pass) []Site { return s.sites[p.Number] }

// walk works out where a pass reads.
func (s *State) walk(p *Pass) []Site {
	first, last := s.Layout.FirstFret(), s.Layout.LastFret()
	var all []Site
	add := func(lane float64, fret int) {
		if reading.Method(p.Method).Spec().Frets == 1 {
			all = append(all, NewSite(lane, fret))
		} else if fret > first && fret < last {
			all = append(all, NewSite(lane, fret-1, fret, fret+1))
		}
	}
	if p.Across {
		for f := p.From; f <= p.To; f += p.Every {
			for _, lane := range p.Lanes {
				add(lane, f)
			}
		}
		return all
	}
	for _, lane := range p.Lanes {
		for f := p.From; f <= p.To; f += p.Every {
			add(lane, f)
		}
	}
	return all
}

// Next is where to read after a site: the next one in the pass's order that has
// no reading, then the first of the whole pass. done: none is left; at is then
// the site itself.
func (s *State) Next(p *Pass, at Site) (next Site, done bool) {
	all := s.Sites(p)
	from := slices.Index(all, at) + 1
	for i := range all {
		site := all[(from+i)%len(all)]
		if e := s.Entry(p.Number, site); site != at && (e == nil || e.Misread) {
			return site, false
		}
	}
	if e := s.Entry(p.Number, at); from > 0 && (e == nil || e.Misread) {
		return at, false
	}
	if from == 0 && len(all) > 0 {
		return all[0], true
	}
	return at, true
}

// Ahead lists where to read after a site, as one Next after the other gives it.
func (s *State) Ahead(p *Pass, at Site) []Site {
	all := s.Sites(p)
	from := slices.Index(all, at) + 1
	var ahead []Site
	for i := range all {
		site := all[(from+i)%len(all)]
		if e := s.Entry(p.Number, site); site != at && (e == nil || e.Misread) {
			ahead = append(ahead, site)
		}
	}
	return ahead
}

// Beside is the site a number of places before or after another in the pass's
// order, whether it was read or not; the ends meet.
func (s *State) Beside(p *Pass, at Site, steps int) Site {
	all := s.Sites(p)
	if len(all) == 0 {
		return at
	}
	i := max(slices.Index(all, at), 0)
	return all[((i+steps)%len(all)+len(all))%len(all)]
}

// Start is the first site of a pass that has no reading.
func (s *State) Start(p *Pass) Site {
	at, _ := s.Next(p, "")
	return at
}

// SiteAt is where a pass reads a crown; ok is false where it does not.
func (s *State) SiteAt(p *Pass, crown Site) (at Site, ok bool) {
	if reading.Method(p.Method).Spec().Frets == 3 {
		f := crown.Fret()
		crown = NewSite(crown.Lane(), f-1, f, f+1)
	}
	return crown, slices.Contains(s.Sites(p), crown)
}

// LanesRead lists the lanes that the stage in work reads or has read, each once.
func (s *State) LanesRead() []float64 {
	var lanes []float64
	add := func(lane float64) {
		if lane > 0 && !slices.Contains(lanes, lane) {
			lanes = append(lanes, lane)
		}
	}
	for _, p := range s.Passes {
		if p.Stage == s.Stage() {
			for _, l := range p.Lanes {
				add(l)
			}
		}
	}
	for _, f := range s.imports {
		if f.stage == s.Stage() {
			for _, r := range f.readings {
				add(r.Lane)
			}
		}
	}
	return lanes
}

// CrownsRead tells which crowns a reading of the stage in work has touched, by
// the site of one fret.
func (s *State) CrownsRead() map[Site]bool {
	read := map[Site]bool{}
	for _, p := range s.Passes {
		if p.Stage != s.Stage() {
			continue
		}
		for at, e := range s.entries[p.Number] {
			if !e.Misread {
				read[NewSite(at.Lane(), at.Fret())] = true
			}
		}
	}
	for _, f := range s.imports {
		if f.stage == s.Stage() {
			for _, r := range f.readings {
				if n := len(r.Frets); n > 0 {
					read[NewSite(r.Lane, r.Frets[n/2])] = true
				}
			}
		}
	}
	return read
}
