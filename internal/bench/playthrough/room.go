package playthrough

import (
	"errors"
	"strconv"
	"sync"
	"time"
)

// Of takes at a time: how many there may be, and how long one that hears nothing stays.
const (
	mostTakes = 3
	idle      = 2 * time.Minute
)

// ErrBusy says that as many necks are being listened to as there may be.
var ErrBusy = errors.New("no more necks can be listened to now")

// Room is the play-throughs under way, one a neck at most.
type Room struct {
	mu    sync.Mutex
	takes map[string]*kept // by neck
	count int
}

type kept struct {
	take *Take
	last time.Time // when it was asked for
}

// Begin puts a take in the place of the neck's own; make is given its name. Errors:
// ErrBusy, and that of make.
func (r *Room) Begin(neck string, now time.Time, make func(id string) (*Take, error)) (*Take, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if r.takes == nil {
		r.takes = map[string]*kept{}
	}
	for of, k := range r.takes {
		if now.Sub(k.last) > idle {
			delete(r.takes, of)
		}
	}
	if r.takes[neck] == nil && len(r.takes) >= mostTakes {
		return nil, ErrBusy
	}
	r.count++
	t, err := make(strconv.FormatInt(now.UnixNano(), 36) + "-" + strconv.Itoa(r.count))
	if err == nil {
		r.takes[neck] = &kept{t, now}
	}
	return t, err
}

// Of is a neck's take of a name; nil: it is over.
func (r *Room) Of(neck, id string, now time.Time) *Take {
	r.mu.Lock()
	defer r.mu.Unlock()
	k := r.takes[neck]
	if k == nil || k.take.ID != id {
		return nil
	}
	k.last = now
	return k.take
}

// Drop ends a neck's take of a name; what it holds is gone.
func (r *Room) Drop(neck, id string) {
	r.mu.Lock()
	defer r.mu.Unlock()
	if k := r.takes[neck]; k != nil && k.take.ID == id {
		delete(r.takes, neck)
	}
}
