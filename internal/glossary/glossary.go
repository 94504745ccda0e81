package glossary

import (
	"slices"
	"strings"

	"ringtrue/internal/fileerr"
)

// Word is one word, used alike in files, answers and screens.
type Word struct {
	Name    string
	Also    []string // what benches call it too
	Keys    []string // where it stands in files: "board.radius", "column lane", "method bridge"
	Meaning string
}

// Words lists all, sorted by name.
func Words() []Word {
	all := slices.Concat(neckWords(), gaugeWords(), answerWords(), soundWords(), bookWords())
	slices.SortFunc(all, func(a, b Word) int { return strings.Compare(a.Name, b.Name) })
	return all
}

// Find looks a word up by its name, by what else it is called, or by a key, in
// any case; where none is called so, by a key's last part, as it stands in the
// files: no_go, fall_away. near is what may have been meant where nothing is
// found.
func Find(word string) (found []Word, near string) {
	all := Words()
	var known []string
	for _, w := range all {
		names := slices.Concat([]string{w.Name}, w.Also, w.Keys)
		if slices.ContainsFunc(names, func(n string) bool { return strings.EqualFold(n, word) }) {
			found = append(found, w)
		}
		known = append(known, names...)
	}
	if len(found) == 0 {
		found = byLastPart(all, word)
	}
	if len(found) == 0 {
		near = fileerr.Nearest(word, known)
	}
	return found, near
}

// byLastPart finds the words with a key that ends in the part asked for.
func byLastPart(all []Word, part string) (found []Word) {
	for _, w := range all {
		if slices.ContainsFunc(w.Keys, func(key string) bool {
			return strings.EqualFold(key[strings.LastIndexAny(key, ". ")+1:], part)
		}) {
			found = append(found, w)
		}
	}
	return found
}
