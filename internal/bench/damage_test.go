package bench

import (
	"bytes"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"ringtrue/internal/bench/draft"
)

// A neck with a damaged line is shown with every other reading, and each of its
// pages names the file where the damaged bytes are; one whose start is damaged is
// named on the first page.
func TestDamage_Pages(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	s := b.screen(path)
	for _, text := range []string{"0.401", "0.402", "0.403"} {
		s.press("keep", text)
	}
	file := strings.TrimPrefix(path, "/necks/") + ".log"
	data, err := os.ReadFile(filepath.Join(b.dir, file))
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	bad := bytes.Replace(data, []byte(`"0.402"`), []byte(`"0.###"`), 1)
	gone := bytes.Clone(data)
	copy(gone[20:], "########")
	for name, data := range map[string][]byte{file: bad, "00.log": gone} {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o600); err != nil {
			t.Fatal(err)
		}
	}
	f, notes, err := draft.Open(dir, clock)
	if err != nil || len(notes) != 2 {
		t.Fatal(err, notes)
	}
	b = newTry(t, func(c *Config) { c.Folder = f })
	t.Cleanup(func() { _ = f.Close() })
	aside := filepath.Join(dir, strings.TrimSuffix(file, ".log")+".damaged")
	for _, page := range []string{path, path + "/plan", path + "/files", "/"} {
		b.sees(page, "changes missing: 1. The damaged bytes are in "+aside)
	}
	b.sees("/", filepath.Join(dir, "00.log"))
	if text := b.csv(path); !strings.Contains(text, "0.401") || !strings.Contains(text, "0.403") || strings.Contains(text, "0.402") {
		t.Error(text)
	}

	// Put away by the maker, the notice stays away, also when the bench starts again;
	// the page of files keeps it.
	hidden := func(pages ...string) {
		t.Helper()
		for _, page := range pages {
			if text := b.sees(page); strings.Contains(text, `id="damage"`) || page == "/" && strings.Contains(text, aside) {
				t.Errorf("%s still has the notice", page)
			}
		}
		if text := b.sees(path+"/files", aside); strings.Contains(text, `id="damage"`) {
			t.Error("the notice is on the page of files still")
		}
	}
	b.refused(b.post(path+"/noted", "damages", "7"), http.StatusConflict, "Another screen")
	b.refused(b.post(path+"/noted", "damages", "x"), http.StatusBadRequest, "could not be read")
	b.sees(path, `id="damage"`, `name="damages" value="1"`)
	if w := b.post(path+"/noted", "damages", "1"); w.Code != http.StatusSeeOther || w.Header().Get("Location") != path {
		t.Fatalf("%d %s", w.Code, w.Header().Get("Location"))
	}
	hidden("/", path, path+"/plan")
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	start := func() {
		t.Helper()
		if f, _, err = draft.Open(dir, clock); err != nil {
			t.Fatal(err)
		}
		b = newTry(t, func(c *Config) { c.Folder = f })
		t.Cleanup(func() { _ = f.Close() })
	}
	start()
	hidden("/", path, path+"/plan")
	if err := f.Close(); err != nil {
		t.Fatal(err)
	}
	if data, err = os.ReadFile(filepath.Join(dir, file)); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(dir, file), bytes.Replace(data, []byte(`"0.403"`), []byte(`"0.%%%"`), 1), 0o600); err != nil {
		t.Fatal(err)
	}
	start() // damaged again: that is news
	for _, page := range []string{path, "/"} {
		b.sees(page, "changes missing: 1. The damaged bytes are in "+aside)
	}
	b.sees(path, `id="damage"`, `name="damages" value="2"`)
	if w := b.get("/necks/00"); w.Code != http.StatusNotFound {
		t.Errorf("a neck without its file: %d", w.Code)
	}
}
