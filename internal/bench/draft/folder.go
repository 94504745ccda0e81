package draft

import (
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"
)

// ErrHeld marks a folder that another program works in.
var ErrHeld = errors.New("another bench is using this folder")

// ErrNotFound marks a neck in work that is not there.
var ErrNotFound = errors.New("no such neck in progress")

const (
	ending    = ".log"
	idBytes   = 10
	maxKept   = 5000
	dirMode   = 0o700
	entryMode = 0o600
)

// Folder is where the journals lie, one a neck in work.
type Folder struct {
	dir  string
	now  func() time.Time
	lock *os.File

	unread []string // journals that no neck could be made of

	mu   sync.RWMutex
	byID map[string]*Neck
}

// Open opens a folder of journals, making it where it is missing, and reads
// every journal in it. notes says in plain words what was cut off or cannot be
// read; such a journal is left as it is. now is the clock. An error: the folder
// cannot be used, or another program holds it.
func Open(dir string, now func() time.Time) (f *Folder, notes []string, err error) {
	if err := os.MkdirAll(dir, dirMode); err != nil {
		return nil, nil, err
	}
	f = &Folder{dir: dir, now: now, byID: map[string]*Neck{}}
	if f.lock, err = hold(filepath.Join(dir, "lock")); err != nil {
		return nil, nil, err
	}
	names, err := filepath.Glob(filepath.Join(dir, "*"+ending))
	if err != nil {
		return nil, nil, errors.Join(err, f.Close())
	}
	slices.Sort(names)
	for _, name := range names {
		id := strings.TrimSuffix(filepath.Base(name), ending)
		k, said, err := f.load(id, name)
		notes = append(notes, said...)
		switch {
		case err != nil:
			f.unread = append(f.unread, name)
			notes = append(notes, fmt.Sprintf("%s: %v; it is left as it is", name, err))
		case k != nil:
			f.byID[id] = k
		}
	}
	return f, notes, nil
}

// load reads one journal, sets aside what is damaged in it and cuts off a torn
// last line.
func (f *Folder) load(id, name string) (k *Neck, notes []string, err error) {
	data, err := os.ReadFile(name)
	if err != nil {
		return nil, nil, err
	}
	c := readJournal(data)
	if len(data) == 0 {
		return nil, nil, nil // opened, and nothing written
	}
	if len(c.events) == 0 || c.events[0].Kind != Opened {
		return nil, nil, fmt.Errorf("the neck file at its start is %w", ErrDamaged)
	}
	s, err := replay(id, c.events)
	if err != nil {
		return nil, nil, err
	}
	if len(c.damaged) > 0 || c.missing() > 0 && len(s.Damages) == 0 {
		note, err := f.setAside(id, name, &c)
		if err != nil {
			return nil, nil, err
		}
		notes = append(notes, note)
		if s, err = replay(id, c.events); err != nil {
			return nil, nil, err
		}
	}
	file, err := os.OpenFile(name, os.O_RDWR, 0)
	if err != nil {
		return nil, nil, err
	}
	if cut := len(c.torn); cut > 0 {
		if err := errors.Join(file.Truncate(int64(len(c.sound))), file.Sync()); err != nil {
			return nil, nil, errors.Join(err, file.Close())
		}
		notes = append(notes, fmt.Sprintf("%s: an incomplete last line (%d bytes) was cut off; every change before it is intact", name, cut))
	}
	return &Neck{id: id, now: f.now, journal: &journal{file: file, size: int64(len(c.sound))}, events: c.events, state: s, changed: make(chan struct{})}, notes, nil
}

// Begin opens a neck in work from a neck file; faults of the file come back as
// a fileerr.List. Its journal is safe on disk when Begin returns.
func (f *Folder) Begin(file string, data []byte, serial, screen string) (*Neck, error) {
	if err := errors.Join(typedSerial("serial", serial), CheckName("file", file)); err != nil {
		return nil, err
	}
	return f.begin(Event{Name: file, Data: slices.Clone(data), Serial: serial, Screen: screen})
}

// BeginExample is Begin for a neck to try the bench on: its state says so.
func (f *Folder) BeginExample(file string, data []byte, screen string) (*Neck, error) {
	return f.begin(Event{Name: file, Data: slices.Clone(data), Screen: screen, Example: true})
}

// begin opens a neck by what its first change says of it.
func (f *Folder) begin(e Event) (*Neck, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if len(f.byID) >= maxKept {
		return nil, refused("there are %d necks in progress already; put some away first", maxKept)
	}
	var b [idBytes]byte
	if _, err := rand.Read(b[:]); err != nil {
		return nil, err
	}
	id := hex.EncodeToString(b[:])
	e.Version, e.At, e.Kind = 1, f.now().UTC(), Opened
	s, err := replay(id, []Event{e})
	if err != nil {
		return nil, err
	}
	opened, err := os.OpenFile(filepath.Join(f.dir, id+ending), os.O_RDWR|os.O_CREATE|os.O_EXCL, entryMode)
	if err != nil {
		return nil, fmt.Errorf("not saved: %w", err)
	}
	k := &Neck{id: id, now: f.now, journal: &journal{file: opened}, events: []Event{e}, state: s, changed: make(chan struct{})}
	if err := errors.Join(k.journal.add(e), syncDir(f.dir)); err != nil {
		return nil, errors.Join(fmt.Errorf("not saved: %w", err), opened.Close(), os.Remove(opened.Name()))
	}
	f.byID[id] = k
	return k, nil
}

// Get gives a neck in work by its name. ErrNotFound.
func (f *Folder) Get(id string) (*Neck, error) {
	f.mu.RLock()
	defer f.mu.RUnlock()
	if k := f.byID[id]; k != nil {
		return k, nil
	}
	return nil, ErrNotFound
}

// All lists the necks in work, the last changed first.
func (f *Folder) All() []*Neck {
	f.mu.RLock()
	all := make([]*Neck, 0, len(f.byID))
	when := map[*Neck]time.Time{}
	for _, k := range f.byID {
		all = append(all, k)
		k.Read(func(s *State) { when[k] = s.Changed })
	}
	f.mu.RUnlock()
	slices.SortFunc(all, func(a, b *Neck) int {
		if c := when[b].Compare(when[a]); c != 0 {
			return c
		}
		return strings.Compare(a.id, b.id)
	})
	return all
}

// PutAway takes a neck out of work: its journal is renamed, not removed.
func (f *Folder) PutAway(id string) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	k := f.byID[id]
	if k == nil {
		return ErrNotFound
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	name := filepath.Join(f.dir, id+ending)
	if err := errors.Join(os.Rename(name, name+".away"), syncDir(f.dir)); err != nil {
		return err
	}
	delete(f.byID, id)
	k.journal.bad = fs.ErrClosed
	return k.journal.file.Close()
}

// Close lets go of the folder.
func (f *Folder) Close() error {
	f.mu.Lock()
	defer f.mu.Unlock()
	var errs []error
	for _, k := range f.byID {
		k.mu.Lock()
		k.journal.bad = fs.ErrClosed
		errs = append(errs, k.journal.file.Close())
		k.mu.Unlock()
	}
	f.byID = map[string]*Neck{}
	if f.lock != nil {
		errs = append(errs, f.lock.Close())
	}
	return errors.Join(errs...)
}

// syncDir makes a new file's name safe on disk.
func syncDir(dir string) error {
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	err = d.Sync()
	if errors.Is(err, fs.ErrInvalid) || !canSyncDir {
		err = nil
	}
	return errors.Join(err, d.Close())
}
