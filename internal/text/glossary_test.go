package text_test

import (
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/text"
)

// keysOf flattens the neck file's definition to "table.key" paths.
func keysOf(keys []neck.Key) []string {
	var all []string
	for _, k := range keys {
		path := k.Name
		if k.Table != "" {
			path = k.Table + "." + k.Name
		}
		all = append(all, path)
		all = append(all, keysOf(k.Parts)...)
	}
	return all
}

func TestGlossary_CoverEveryKeyOfTheFiles(t *testing.T) {
	want := keysOf(neck.Keys())
	for _, c := range reading.Columns() {
		want = append(want, "column "+c.Name)
	}
	for _, m := range reading.Methods() {
		want = append(want, "method "+string(m))
	}
	var have []string
	for _, w := range text.Glossary() {
		have = append(have, w.Keys...)
	}
	for _, k := range want {
		if !slices.Contains(have, k) {
			t.Errorf("%s has no word", k)
		}
	}
	for _, k := range have {
		if !slices.Contains(want, k) {
			t.Errorf("%s is no key of a file", k)
		}
	}
}

func TestGlossary_OneWordOneThing(t *testing.T) {
	seen := map[string]bool{}
	for _, w := range text.Glossary() {
		if w.Name == "" || w.Meaning == "" || strings.HasSuffix(w.Meaning, ".") {
			t.Errorf("%q: a word has a name and a meaning without a full stop", w.Name)
		}
		if seen[w.Name] {
			t.Errorf("%q stands twice", w.Name)
		}
		seen[w.Name] = true
	}
}

func TestFindWord(t *testing.T) {
	for _, c := range []struct{ ask, want string }{
		{"three-point gauge", "bridge"}, {"Attack", "touch"}, {"board.radius", "radius"},
		{"compensation", "setback"}, {"multi-scale", "slanted frets"}, {"frets out", "chokes"},
		{"reseat or replace", "refit"}, {"radius gauge", "arch"},
		{"no_go", "feeler"}, {"fall_away", "fall-away"}, {"Crown_Width", "crown"},
		{"hump", "hump"}, {"bump", "hump"}, {"loose", "loose"}, {"sprung", "sprung"}, {"shim", "shim"}, {"thou", "thou"},
		{"nut slot", "nut slot"}, {"±", "standard uncertainty"},
	} {
		found, _ := text.FindWord(c.ask)
		if len(found) != 1 || found[0].Name != c.want {
			t.Errorf("%q: %v, want %s", c.ask, found, c.want)
		}
	}
	if found, _ := text.FindWord("flat"); len(found) != 2 {
		t.Errorf("flat means the straight board and the land: %v", found)
	}
	if found, _ := text.FindWord("step"); len(found) != 2 {
		t.Errorf("step means the crown's and the chart's: %v", found)
	}
	if found, _ := text.FindWord("thickness"); len(found) != 2 {
		t.Errorf("board and neck have a thickness: %v", found)
	}
	if found, near := text.FindWord("releif"); len(found) != 0 || near != "relief" {
		t.Errorf("releif: %v, near %q", found, near)
	}
}
