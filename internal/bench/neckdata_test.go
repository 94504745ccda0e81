package bench

import (
	"html"
	"regexp"
	"strings"
	"testing"

	"ringtrue/internal/neck"
)

// A fixed neck shows its data to be read: every value of its file, with its meaning,
// and no field to fill in.
func TestNeckData_ToRead(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	text := html.UnescapeString(b.sees(path+"/neck", `href="/neckfile?from=`+idOf(path)+`"`))
	if m := regexp.MustCompile(`<(input|textarea|select)[^>]*>`).FindString(text); m != "" {
		t.Errorf("a field: %s", m)
	}
	given := valuesOf(example(t, "heron.toml"))
	shown := 0
	for _, k := range neck.Keys() {
		lines := given.said(k)
		if !strings.Contains(text, k.Meaning) {
			t.Errorf("%s: no meaning", keyOf(k))
		}
		for _, line := range lines {
			shown++
			if !strings.Contains(text, "<span>"+line+"</span>") {
				t.Errorf("%s: %q is not shown", keyOf(k), line)
			}
		}
	}
	if shown < 30 {
		t.Errorf("only %d values", shown)
	}
}

// The form asks first for what no file goes without, and folds the rest by table, open
// where something is to be mended.
func TestNeckForm_NeededFirst(t *testing.T) {
	b := newTry(t, nil)
	text := b.sees("/neckfile?like=electric")
	first, rest, _ := strings.Cut(text, "</fieldset>\n<details")
	for _, k := range neck.Keys() {
		at := `name="` + keyOf(k)
		if in := strings.Contains(first, at); in != (k.Required || isFirst(k)) {
			t.Errorf("%s comes first: %v", keyOf(k), in)
		}
		if !strings.Contains(first+rest, at) {
			t.Errorf("%s is not asked for", keyOf(k))
		}
	}
	if strings.Contains(text, `<details class="table" open>`) {
		t.Error("a table is open")
	}
	v := formOf(text)
	v.Set("wire.hardness", "soft")
	code, text := b.send2(v, "begin")
	if n := strings.Count(text, `<details class="table" open>`); code != 422 || n != 1 || !strings.Contains(text, `<details class="table" open><summary>Wire`) {
		t.Errorf("%d: %d tables are open", code, n)
	}
}
