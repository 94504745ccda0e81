package draft

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
)

// Damage is what was found damaged in a journal when it was opened.
type Damage struct {
	File     string `json:"file"`               // beside the journal: the damaged lines as they were found
	Bytes    int    `json:"bytes"`              // of them
	Repaired int    `json:"repaired,omitempty"` // lines that are whole again
	Lost     int    `json:"lost,omitempty"`     // changes that are missing
}

// asideEnding is that of the file of damaged lines.
const asideEnding = ".damaged"

// setAside writes a journal's damaged lines into a file of their own, then the
// journal without them, and notes that in it. Each is safe on disk before the
// next. It gives a note in plain words.
func (f *Folder) setAside(id, name string, c *contents) (note string, err error) {
	bad := slices.Concat(c.damaged...)
	aside := filepath.Join(f.dir, id+asideEnding)
	if err := addTo(aside, bad); err != nil {
		return "", err
	}
	d := &Damage{File: filepath.Base(aside), Bytes: len(bad), Repaired: c.repaired, Lost: max(c.lost, c.missing())}
	e := Event{Version: c.last() + 1, At: f.now().UTC(), Kind: Damaged, Damage: d}
	if c.lost > c.missing() {
		e.Version += c.lost - c.missing() // the number of a last line that is lost is not given again
	}
	line, err := e.line()
	if err != nil {
		return "", err
	}
	c.events, c.sound = append(c.events, e), append(c.sound, line...)
	whole := slices.Concat(c.sound, c.torn)
	if err := ReplaceFile(name, whole); err != nil {
		return "", err
	}
	return fmt.Sprintf("%s: damaged lines (%d bytes) were set aside in %s; %d repaired, %d lost, every other is in use", name, len(bad), aside, d.Repaired, d.Lost), nil
}

// addTo adds bytes to the end of a file, safe on disk.
func addTo(name string, data []byte) error {
	if had, err := os.ReadFile(name); err == nil && bytes.HasSuffix(had, data) {
		return nil // written before a crash
	}
	file, err := os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_APPEND, entryMode)
	if err != nil {
		return err
	}
	_, err = file.Write(data)
	return errors.Join(err, file.Sync(), file.Close(), syncDir(filepath.Dir(name)))
}

// ReplaceFile puts bytes in a file's place, safe on disk: after a crash either is
// there, whole.
func ReplaceFile(name string, data []byte) error {
	next := name + ".new"
	file, err := os.OpenFile(next, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, entryMode)
	if err != nil {
		return err
	}
	_, err = file.Write(data)
	if err := errors.Join(err, file.Sync(), file.Close()); err != nil {
		return err
	}
	return errors.Join(os.Rename(next, name), syncDir(filepath.Dir(name)))
}

// NoteDamage keeps that the maker has read the notice of so many damages: it stays
// away then. ErrConflict: there are others by now.
func (k *Neck) NoteDamage(damages int, screen string) error {
	_, err := k.do(Event{Kind: Noted, Of: damages, Screen: screen}, func(s *State) error {
		if damages != len(s.Damages) {
			return ErrConflict
		}
		return nil
	})
	return err
}

// Unread lists the journals that no neck could be made of; they are left as they
// are.
func (f *Folder) Unread() []string { return f.unread }

// Path is the full name of a file beside the journals.
func (f *Folder) Path(file string) string { return filepath.Join(f.dir, file) }
