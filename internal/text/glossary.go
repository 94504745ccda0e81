package text

import (
	"slices"
	"sort"
	"strings"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/reading"
)

// Word is one word of the glossary, used alike in files, answers and screens.
type Word struct {
	Name    string
	Also    []string // what benches call it too
	Keys    []string // where it stands in files: "board.radius", "column lane", "method bridge"
	Meaning string
}

// Glossary lists all words, sorted by name.
func Glossary() []Word {
	all := slices.Concat(neckWords(), gaugeWords(), answerWords(), soundWords(), bookWords())
	for _, m := range reading.Methods() {
		said := OfMethod(m)
		all = append(all, Word{string(m), said.Also, slices.Concat([]string{"method " + string(m)}, said.Keys), said.Word})
	}
	sort.Slice(all, func(i, j int) bool { return all[i].Name < all[j].Name })
	return all
}

// FindWord looks a word up by its name, by what else it is called, or by a key, in
// any case; where none is called so, by a key's last part, as it stands in the
// files: no_go, fall_away. near is what may have been meant where nothing is
// found.
func FindWord(word string) (found []Word, near string) {
	all := Glossary()
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
