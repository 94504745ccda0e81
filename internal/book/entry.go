package book

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"ringtrue/internal/name"
)

// Longest words, in letters, and files that an entry may hold.
const (
	maxWord  = 64
	maxDone  = 1500 // of StrokesTag
	maxNote  = 4000
	maxTags  = 50
	maxBytes = 64 << 20
)

// Tags with a meaning: what was done before the readings of a record were taken, as
// package hand writes it, and how many minutes it took.
const (
	StrokesTag = "strokes"
	MinutesTag = "minutes"
)

// Check says what makes an entry unfit, wrapping ErrEntry.
func (e *Entry) Check() error {
	for _, w := range []struct{ what, word string }{{"serial", e.Serial}, {"stage", e.Stage}} {
		if err := checkWord(w.what, w.word); err != nil {
			return err
		}
	}
	for _, t := range []struct{ what, text string }{{"note", e.Note}, {"by", e.By}, {"why", e.Why}} {
		if utf8.RuneCountInString(t.text) > maxNote || !utf8.ValidString(t.text) || strings.ContainsRune(t.text, 0) {
			return fmt.Errorf("%s: %w: at most %d letters of plain text", t.what, ErrEntry, maxNote)
		}
	}
	if len(e.Tags) > maxTags {
		return fmt.Errorf("tags: %w: at most %d", ErrEntry, maxTags)
	}
	for k, v := range e.Tags {
		if err := checkTag(k, v); err != nil {
			return err
		}
	}
	if e.Corrects != nil && (e.By == "" || e.Why == "") {
		return errUnsigned
	}
	for _, f := range []File{e.Files.Neck, e.Files.Readings} {
		if len(f.Bytes) > maxBytes {
			return fmt.Errorf("%s: %w: more than %d MB", f.Name, ErrEntry, maxBytes>>20)
		}
		if !utf8.ValidString(f.Name) || strings.ContainsRune(f.Name, 0) {
			return fmt.Errorf("%q: %w: a file's name must be plain text", f.Name, ErrEntry)
		}
	}
	return nil
}

// checkTyped says what a maker who types an entry can write otherwise. A record that
// is in a book already is not asked: Check alone binds those.
func (e *Entry) checkTyped() error {
	for _, w := range []struct{ what, why string }{
		{"serial", name.TypedSerial(e.Serial)}, {"stage", name.TypedSerial(e.Stage)}, {"by", name.Typed(e.By)},
	} {
		if w.why != "" {
			return fmt.Errorf("%s: %w: it %s", w.what, ErrEntry, w.why)
		}
	}
	for _, k := range slices.Sorted(maps.Keys(e.Tags)) {
		if why := name.Typed(k + e.Tags[k]); why != "" {
			return fmt.Errorf("tag %q: %w: it %s", k, ErrEntry, why)
		}
	}
	return nil
}

// checkWord keeps serials and stages fit for a folder's name.
func checkWord(what, word string) error {
	switch {
	case word == "":
		return fmt.Errorf("%s: %w: it is empty", what, ErrEntry)
	case utf8.RuneCountInString(word) > maxWord:
		return fmt.Errorf("%s: %w: longer than %d letters", what, ErrEntry, maxWord)
	}
	if why := name.Folder(word); why != "" {
		return fmt.Errorf("%s %q: %w: it %s", what, word, ErrEntry, why)
	}
	return nil
}

func checkTag(k, v string) error {
	if err := checkWord("tag", k); err != nil {
		return err
	}
	if strings.ContainsRune(k, '=') {
		return fmt.Errorf("tag %q: %w: its name must not contain =", k, ErrEntry)
	}
	most := maxWord
	if k == StrokesTag {
		most = maxDone
	}
	if v == "" || utf8.RuneCountInString(v) > most || !utf8.ValidString(v) || strings.ContainsFunc(v, unicode.IsControl) {
		return fmt.Errorf("tag %s: %w: its value is 1 to %d letters", k, ErrEntry, most)
	}
	return nil
}

// ParseTag reads "wire=lot7".
func ParseTag(s string) (key, value string, err error) {
	key, value, ok := strings.Cut(s, "=")
	if !ok {
		return "", "", fmt.Errorf("tag %q: %w: write it as name=value, such as wire=lot7", s, ErrEntry)
	}
	return key, value, checkTag(key, value)
}
