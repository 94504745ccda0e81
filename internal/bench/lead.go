package bench

import (
	"sync"

	"ringtrue/internal/bench/draft"
)

// leads are where each neck was read last, for screens that follow and for a
// gauge on a line.
type leads struct {
	mu      sync.Mutex
	by      map[string]*lead // by neck
	screens screens
}

// lead is where the last press on a neck went. It is not kept: after a restart
// the next press leads again.
type lead struct {
	cursor
	screen  string        // which screen led there; empty: one without a name
	number  int           // how often it has moved; 0: never
	changed chan struct{} // closed when it moves
}

// of gives a neck's lead as it is.
func (l *leads) of(id string) lead {
	l.mu.Lock()
	defer l.mu.Unlock()
	return *l.place(id)
}

// place finds a neck's lead. The caller holds the lock.
func (l *leads) place(id string) *lead {
	if l.by == nil || len(l.by) >= maxJobs && l.by[id] == nil {
		l.wake()
		l.by = map[string]*lead{}
	}
	if l.by[id] == nil {
		l.by[id] = &lead{changed: make(chan struct{})}
	}
	return l.by[id]
}

// wake ends every wait: the leads are to be forgotten.
func (l *leads) wake() {
	for _, d := range l.by {
		close(d.changed)
	}
}

// move notes where a screen's press led.
func (l *leads) move(id, screen string, pass int, at draft.Site) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.lead(id, screen, cursor{pass: pass, at: at})
}

// lead is move, the lock held.
func (l *leads) lead(id, screen string, to cursor) {
	to.end, to.next = false, false // of a page, not of where the gauge stands
	d := l.place(id)
	defer func() { l.screens.led(id, screen, to, d.number) }()
	d.screen = screen
	if d.cursor != to {
		d.cursor = to
		d.number++
		close(d.changed)
		d.changed = make(chan struct{})
	}
}
