package bench

import (
	"net/http"
	"regexp"
	"strings"
	"testing"
)

// Every way to start a neck that needs no file leads to a pass.
func TestHome_LikeEach(t *testing.T) {
	b := newTry(t, nil)
	for _, like := range []string{"electric", "acoustic", "bass"} {
		w := b.send("/necks", "", nil, "from", "like", "like", like)
		if w.Code != http.StatusSeeOther || !regexp.MustCompile(`^/necks/[0-9a-f]{20}/pass$`).MatchString(w.Header().Get("Location")) {
			t.Errorf("%s: %d", like, w.Code)
			continue
		}
		if p := b.get(w.Header().Get("Location")); p.Code != http.StatusOK {
			t.Errorf("%s: %d", like, p.Code)
		}
	}
	for _, wrong := range [][]string{{"from", "like", "like", "../x"}, {"from", "file"}, {"from", "book", "serial", "1"}, {}} {
		if w := b.send("/necks", "", nil, wrong...); w.Code < 400 || w.Code >= 500 {
			t.Errorf("%v: %d", wrong, w.Code)
		}
	}
	if w := b.send("/necks", "bad.toml", []byte("x = 1"), "from", "file"); w.Code != http.StatusUnprocessableEntity || !strings.Contains(body(w), "bad.toml:1") {
		t.Errorf("a bad neck file: %d", w.Code)
	}
	if n := len(b.folder.All()); n != 3 {
		t.Errorf("%d necks in work", n)
	}
}
