package bench

import (
	"net/http"
	"strings"
	"testing"
)

// What leads out of a folder, or can't be seen, is refused wherever it is typed,
// with its place and what to do; nothing is changed.
func TestTyped_RefusedWithWhatToDo(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	pass := []string{"method", "beam", "unit", "mm", "from", "1", "to", "22", "every", "1", "lane", "1"}
	for _, bad := range []struct{ text, says string }{{"../x", "which leads out of a folder; use a dash"}, {"04\u202e12", "202E); type it by hand"}, {"a\x01b", "0001); type it by hand"}} {
		before := b.sees(path+"/files", "0412")
		for _, p := range []struct {
			path  string
			pairs []string
		}{
			{path + "/serial", []string{"serial", bad.text}},
			{path + "/stage", []string{"number", "0", "word", bad.text}},
			{path + "/pass", append(pass, "gauge", bad.text)},
			{path + "/pass", append(pass, "by", bad.text)},
			{path + "/study", []string{"hands", bad.text, "crowns", "5", "trials", "2", "unit", "mm", "seed", "1"}},
		} {
			b.refused(b.post(p.path, p.pairs...), http.StatusUnprocessableEntity, bad.says)
		}
		b.refused(b.send("/necks", "heron.toml", example(t, "heron.toml"), "from", "file", "serial", bad.text), http.StatusUnprocessableEntity, bad.says)
		w := b.post("/neckfile", "do", "begin", "name", bad.text, "given", string(example(t, "heron.toml")))
		if text := body(w); w.Code != http.StatusUnprocessableEntity || !strings.Contains(text, bad.says) || !strings.Contains(text, `aria-invalid="true"`) {
			t.Errorf("the neck's name: %d", w.Code)
		}
		if b.sees(path+"/files", "0412") != before {
			t.Errorf("%q changed the neck", bad.text)
		}
	}
	b.refused(b.post(path+"/serial", "serial", "a/b"), http.StatusUnprocessableEntity, "use letters, digits")
	if n := len(b.folder.All()); n != 1 {
		t.Errorf("%d necks", n)
	}
}
