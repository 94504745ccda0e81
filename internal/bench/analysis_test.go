package bench

import (
	"net/http"
	"strings"
	"testing"

	"ringtrue/internal/bench/draft"
)

// What goes wrong inside one neck's answer ends that answer, not the bench.
func TestAnalyst_PanicIsOneAnswersFault(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	b.analyst.analyse = calmly(func(*draft.Neck) *analysis { panic("a height that is none") }, b.inside)
	if page := body(b.get(path)); page == "" || strings.Contains(page, "a height that is none") {
		t.Errorf("the neck's page tells of the inside, or nothing: %.200q", page)
	}
	if !strings.Contains(b.log.String(), "a height that is none") {
		t.Errorf("the log does not say what failed: %q", b.log)
	}
	b.analyst.analyse = calmly(analyse, b.inside)
	if w := b.get(b.open()); w.Code != http.StatusOK {
		t.Errorf("another neck's page answers %d", w.Code)
	}
	if w := b.get("/healthz"); w.Code != http.StatusOK {
		t.Errorf("the bench answers %d", w.Code)
	}
}
