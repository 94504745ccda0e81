package draft

import (
	"bytes"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"sync"
	"time"

	"ringtrue/internal/reading"
)

// ErrConflict marks a change of something that another screen has changed since.
var ErrConflict = errors.New("another screen has changed this")

// ErrReplaces marks a reading that would take another's place unasked.
var ErrReplaces = errors.New("there is another reading")

// Neck is one neck in work and its journal. Its methods may be called by
// several goroutines at once.
type Neck struct {
	id  string
	now func() time.Time

	mu      sync.RWMutex
	journal *journal
	events  []Event
	state   *State
	changed chan struct{} // closed at the next change
}

// Read hands the state to fn. fn must not keep it, nor change it.
func (k *Neck) Read(fn func(*State)) {
	k.mu.RLock()
	defer k.mu.RUnlock()
	fn(k.state)
}

// ID names the neck in work.
func (k *Neck) ID() string { return k.id }

// Changed is closed at the next change.
func (k *Neck) Changed() <-chan struct{} {
	k.mu.RLock()
	defer k.mu.RUnlock()
	return k.changed
}

// do makes a change that check allows: on disk first, then in the state.
func (k *Neck) do(e Event, check func(*State) error) (version int, err error) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if err := check(k.state); err != nil {
		return k.state.Version, err
	}
	e.Version, e.At = k.state.Version+1, k.now().UTC()
	// What the state refuses must not reach the journal, and what the journal
	// refuses must not reach the state: so the state is tried, and built anew
	// where the disk fails.
	if err := k.state.apply(e); err != nil {
		return k.state.Version, err
	}
	if err := k.journal.add(e); err != nil {
		k.state = k.rebuilt()
		return k.state.Version, fmt.Errorf("not saved: %w", err)
	}
	k.events = append(k.events, e)
	if e.Kind == Undone {
		k.state = k.rebuilt()
	}
	close(k.changed)
	k.changed = make(chan struct{})
	return e.Version, nil
}

// rebuilt is the state that the events make, those undone left out.
func (k *Neck) rebuilt() *State {
	s, err := replay(k.id, k.events)
	if err != nil { // they made a state before
		panic("draft: " + err.Error())
	}
	return s
}

// replay makes a state of events.
func replay(id string, events []Event) (*State, error) {
	s := &State{ID: id, undone: map[int]bool{}}
	for _, e := range events {
		if e.Kind == Undone {
			s.undone[e.Of] = true
		}
	}
	for i, e := range events {
		if s.undone[e.Version] {
			s.Version, s.Changed = e.Version, e.At
			continue
		}
		if err := s.apply(e); err != nil && (i == 0 || !lost(events)) {
			return nil, fmt.Errorf("line %d: %w", i+1, err)
		} else if err != nil {
			s.Version = e.Version
			s.LeftOut++
		}
	}
	return s, nil
}

// lost reports whether changes are missing among events.
func lost(events []Event) bool {
	return len(events) > 0 && events[len(events)-1].Version > len(events)
}

// Put is a reading to be kept.
type Put struct {
	Pass    int
	Site    Site
	Reading string // a number with a decimal point, or rocks or still
	NoGo    string
	Unit    string
	Again   bool // a second try that agrees with what is there: both stand
	Seen    int  // the version that the screen showed
	Over    int  // the version of the reading that it may replace; 0: none
	Screen  string
}

// Set keeps a reading, safe on disk when it returns. The same reading again
// is no change. ErrReplaces: another reading is there, and p.Over does not name
// its version.
func (k *Neck) Set(p Put) (version int, err error) {
	same := errors.New("the same")
	version, err = k.do(Event{Kind: Set, Pass: p.Pass, Site: p.Site, Reading: p.Reading, NoGo: p.NoGo, Unit: p.Unit, Again: p.Again, Screen: p.Screen},
		func(s *State) error {
			old := s.Entry(p.Pass, p.Site)
			switch {
			case old == nil || old.Misread:
				return nil
			case !p.Again && old.Reading == p.Reading && old.NoGo == p.NoGo && old.Unit == p.Unit:
				return same
			case p.Again && old.Version <= p.Seen, old.Version == p.Over:
				return nil
			}
			return ErrReplaces
		})
	if err == same {
		return version, nil
	}
	return version, err
}

// Stand keeps a reading that was asked of as it is. ErrConflict: another screen
// has changed it.
func (k *Neck) Stand(pass int, at Site, seen int, screen string) (version int, err error) {
	e := Event{Kind: Set, Pass: pass, Site: at, Stands: true, Screen: screen}
	of := 0
	k.Read(func(s *State) {
		if old := s.Entry(pass, at); old != nil && !old.Misread {
			e.Reading, e.NoGo, e.Unit, of = old.Reading, old.NoGo, old.Unit, old.Version
		}
	})
	return k.do(e, func(s *State) error {
		switch old := s.Entry(pass, at); {
		case of == 0:
			return refused("no reading to save")
		case old == nil || old.Version != of || of > seen:
			return ErrConflict
		}
		return nil
	})
}

// Mark marks a reading as wrong. It stays in the journal and leaves the readings
// file until it is taken again. ErrConflict: another screen has changed it.
func (k *Neck) Mark(pass int, at Site, seen int, screen string) (version int, err error) {
	return k.do(Event{Kind: Misread, Pass: pass, Site: at, Screen: screen}, func(s *State) error {
		if old := s.Entry(pass, at); old != nil && old.Version > seen {
			return ErrConflict
		}
		return nil
	})
}

// Undo takes back the last change and says which it was. ErrConflict: it is not
// the one that the screen showed as the last.
func (k *Neck) Undo(seen int, screen string) (taken Event, err error) {
	k.mu.RLock()
	of := k.state.lastUsed
	if of > 0 {
		taken = k.events[slices.IndexFunc(k.events, func(e Event) bool { return e.Version == of })]
	}
	k.mu.RUnlock()
	if of == 0 {
		return taken, refused("nothing to undo")
	}
	_, err = k.do(Event{Kind: Undone, Of: of, Screen: screen}, func(s *State) error {
		if s.lastUsed != of || of > seen {
			return ErrConflict
		}
		return nil
	})
	return taken, err
}

// Begin begins a pass; number, label, stage and date are the draft's to give.
// It returns the pass's number.
func (k *Neck) Begin(p Pass, screen string) (number int, err error) {
	if err := errors.Join(typed("gauge", p.Gauge), typed("by", p.By)); err != nil {
		return 0, err
	}
	_, err = k.do(Event{Kind: Begun, Plan: &p, Screen: screen}, func(s *State) error {
		p.Number = 1
		for _, q := range s.Passes {
			p.Number = max(p.Number, q.Number+1)
		}
		p.Label = s.freeLabel(strconv.Itoa(p.Number))
		p.Stage, p.Date = s.Stage(), k.now().UTC().Format(time.DateOnly)
		return nil
	})
	return p.Number, err
}

// Take takes a readings file in. Its faults come back as a fileerr.List.
func (k *Neck) Take(name string, data []byte, screen string) error {
	_, err := k.do(Event{Kind: Taken, Name: name, Data: slices.Clone(data), Screen: screen}, func(s *State) error {
		b := s.Bounds()
		b.New = true
		_, err := reading.Parse(name, bytes.NewReader(data), b)
		return err
	})
	return err
}

// Work ends a stage: readings from here on are of the next, named by word.
// ErrConflict: another screen has ended it.
func (k *Neck) Work(word string, stage int, screen string) error {
	_, err := k.do(Event{Kind: Staged, Name: word, Screen: screen}, func(s *State) error {
		switch {
		case s.Stage() != stage:
			return ErrConflict
		case word == "":
			return refused("say what was done, for example levelled or strung")
		}
		return typedSerial("stage", word)
	})
	return err
}

// Name gives the neck its serial.
func (k *Neck) Name(serial, screen string) error {
	_, err := k.do(Event{Kind: Named, Serial: serial, Screen: screen}, func(*State) error { return typedSerial("serial", serial) })
	return err
}

// Book notes that a stage was put in the book.
func (k *Neck) Book(record int64, stage int, screen string) error {
	_, err := k.do(Event{Kind: Booked, Record: record, Stage: stage, Screen: screen}, allowed)
	return err
}

func allowed(*State) error { return nil }

// Recent lists the last n changes, the latest first.
func (k *Neck) Recent(n int) []Event {
	k.mu.RLock()
	defer k.mu.RUnlock()
	last := slices.Clone(k.events[max(0, len(k.events)-n):])
	slices.Reverse(last)
	return last
}
