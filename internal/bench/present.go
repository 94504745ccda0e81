package bench

import (
	"context"
	"net/url"
	"strconv"
	"time"

	"ringtrue/internal/bench/draft"
)

// screens are the screens that show a neck to read, by the names that they gave
// themselves: a gauge on a line reads for one of them.
type screens struct {
	by     map[string]*shown
	reads  string        // the one that was pressed last
	count  int           // how many have come
	left   time.Time     // when one went away
	coming chan struct{} // closed when one comes
}

// shown is what a screen shows.
type shown struct {
	neck string
	cursor
	moved   int  // the lead's number when this screen last moved it
	follows bool // it only shows what another reads
	came    int  // when, in order
	waits   int  // waits for news under way
	until   time.Time
}

// maxPresent is how many screens are known at once.
const maxPresent = 200

// led notes that a press, or the gauge for a screen, led it to a crown.
func (s *screens) led(neck, name string, to cursor, number int) {
	if name == "" {
		return
	}
	s.reads = name
	if d := s.by[name]; d != nil {
		d.neck, d.cursor, d.moved = neck, to, number
	}
}

// arrive notes that a screen waits for news of a neck, and where it stands: but for
// an older place than one that a press has led it to since (stale). Such a screen is
// to be answered at once: then it knows of the press, and its next wait tells where
// it stands. Call leave when the wait has ended.
func (l *leads) arrive(neck string, q url.Values) (stale bool, leave func(context.Context)) {
	name, to := screenOf(q), cursorOf(q)
	to.end = false // of the page, not of where the gauge stands
	if name == "" {
		return false, func(context.Context) {}
	}
	l.mu.Lock()
	defer l.mu.Unlock()
	s := &l.screens
	if q.Get("gone") != "" { // it says itself that nobody looks at it any more
		delete(s.by, name)
		s.left = time.Now()
		return false, func(context.Context) {}
	}
	d := s.come(name, neck)
	d.follows, d.waits = q.Get("follow") != "", d.waits+1
	switch number, _ := strconv.Atoi(q.Get("lead")); {
	case q.Get("leads") != "": // a press, which moves it by itself
	case number < d.moved:
		stale = d.cursor != to
	default:
		d.cursor = to
		if s.reads == name && !d.follows && to.pass > 0 {
			l.lead(neck, name, to)
		}
	}
	return stale, func(ctx context.Context) {
		l.mu.Lock()
		defer l.mu.Unlock()
		if d.waits--; ctx.Err() == nil {
			d.until = time.Now()
		} else if d.waits == 0 { // the page was left, or is hidden
			d.until, s.left = time.Time{}, time.Now()
		}
	}
}

// come finds a screen, or makes one that has just come.
func (s *screens) come(name, neck string) *shown {
	d := s.by[name]
	if d != nil && d.neck == neck && (d.waits > 0 || !d.until.IsZero()) {
		return d
	}
	if s.by == nil || len(s.by) >= maxPresent && d == nil {
		s.by = map[string]*shown{}
	}
	s.count++
	d = &shown{neck: neck, came: s.count}
	s.by[name] = d
	if s.coming != nil {
		close(s.coming)
		s.coming = nil
	}
	return d
}

// there reports whether a screen is there, or was but just now.
func (d *shown) there(between time.Duration) bool {
	return d.waits > 0 || time.Since(d.until) < between
}

// standsAt is a screen and the crown that it shows.
type standsAt struct {
	screen, neck string
	cursor
}

// reader is the screen for which a gauge reads: the one that was pressed last, if
// it is still there, else the newest that does not follow. Where there is none it
// gives how long to wait for one that just went away and may come again: a page
// that is loaded anew.
func (l *leads) reader(between time.Duration) (r standsAt, ok bool, coming <-chan struct{}, wait time.Duration) {
	l.mu.Lock()
	defer l.mu.Unlock()
	s := &l.screens
	var best *shown
	for name, d := range s.by {
		if d.there(between) && (best == nil || s.rather(name, d, r.screen, best)) {
			best, r = d, standsAt{name, d.neck, d.cursor}
		}
	}
	if best != nil {
		s.reads = r.screen
		return r, true, nil, 0
	}
	if s.coming == nil {
		s.coming = make(chan struct{})
	}
	return r, false, s.coming, between - time.Since(s.left)
}

// rather reports whether a screen is rather read for than another.
func (s *screens) rather(name string, a *shown, other string, b *shown) bool {
	switch {
	case a.follows != b.follows:
		return b.follows
	case (name == s.reads) != (other == s.reads):
		return name == s.reads
	}
	return a.came > b.came
}

// readsFor finds the screen for which the gauge reads.
func (s *Server) readsFor(ctx context.Context) (standsAt, bool) {
	for {
		r, ok, coming, wait := s.leads.reader(s.times.Between)
		if ok || wait <= 0 || ctx.Err() != nil {
			return r, ok
		}
		t := time.NewTimer(wait)
		select {
		case <-coming:
		case <-t.C:
		case <-ctx.Done():
		}
		t.Stop()
	}
}

// crown is where a screen stands in a neck; false where it shows no pass.
func (r standsAt) crown(st *draft.State) (*draft.Pass, draft.Site, bool) {
	if r.pass == 0 {
		return nil, "", false
	}
	p, at := settle(st, r.cursor)
	return p, at, p != nil && p.Number == r.pass && at == r.at
}
