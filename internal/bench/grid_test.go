package bench

import (
	"net/http"
	"strings"
	"testing"
)

// A grid of readings is taken in as a file of rows is; one without its unit is
// refused with what to write.
func TestFiles_Grid(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	const grid = "# method = beam\n# unit = mm\nfret,2,1\n1,0.4,0.5\n2,x,0.48\n"
	w := b.send(path+"/files", "grid.csv", []byte(strings.Replace(grid, "# unit = mm\n", "", 1)))
	if w.Code != http.StatusUnprocessableEntity || !strings.Contains(w.Body.String(), "write # unit = mm") {
		t.Errorf("%d %s", w.Code, w.Body)
	}
	if w := b.send(path+"/files", "grid.csv", []byte(grid)); w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	text := body(b.get(path + "/readings.csv"))
	for _, row := range []string{"beam,2,1,0.4,mm", "beam,1,1,0.5,mm", "beam,1,2,0.48,mm"} {
		if !strings.Contains(text, row) {
			t.Errorf("%s lacks %s", text, row)
		}
	}
}
