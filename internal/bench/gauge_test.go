package bench

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"regexp"
	"strings"
	"testing"

	"ringtrue/internal/bench/draft"
)

// A study is led from the first reading to its answer; the same seed gives the
// same order; the server's end loses nothing.
func TestGauge_LedToItsAnswer(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	w := b.post(path+"/study", "hands", "Ines, <b>Bo</b>", "crowns", "5", "trials", "2", "unit", "mm", "seed", "42", "gauge", "dial")
	if w.Code != http.StatusSeeOther {
		t.Fatalf("%d %s", w.Code, w.Body)
	}
	where := regexp.MustCompile(`id="gauge-where">Fret\D*(\d+) · lane\D*(\d+)<`)
	seen := map[string]int{}
	for i := range 20 {
		text := b.sees(path+"/gauge", "seed 42", fmt.Sprintf("%d of 20 read", i))
		if strings.Contains(text, "<b>Bo") {
			t.Fatal("a hand's name came through as it is")
		}
		m := where.FindStringSubmatch(text)
		if m == nil {
			t.Fatal(text)
		}
		seen[m[1]+"@"+m[2]]++
		var size float64
		_, _ = fmt.Sscan(m[1]+"."+m[2], &size)
		if w := b.post(path+"/trial", "study", "0", "place", fmt.Sprint(i), "reading", fmt.Sprintf("0,%03d", int(size*7)+i%3)); w.Code != http.StatusSeeOther {
			t.Fatalf("%d %s", w.Code, w.Body)
		}
	}
	if len(seen) != 5 {
		t.Errorf("%d crowns", len(seen))
	}
	for crown, n := range seen {
		if n != 4 {
			t.Errorf("%s was read %d times", crown, n)
		}
	}
	b.sees(path+"/gauge", `id="gauge-done"`, `id="gauge-words"><li>`)
	if text := b.get(path + "/study.csv?study=0").Body.String(); strings.Count(text, "\n") != 21 || !strings.HasPrefix(text, "part,operator,trial,reading,unit\n") {
		t.Error(text)
	}
	// Back one step, and only from where the screen stands.
	b.refused(b.post(path+"/trial", "study", "0", "place", "7", "do", "undo"), http.StatusConflict, "Another screen")
	b.post(path+"/trial", "study", "0", "place", "20", "do", "undo")
	b.sees(path+"/gauge", "19 of 20 read")
	b.refused(b.post(path+"/trial", "study", "0", "place", "3", "reading", "0.1"), http.StatusConflict, "Another screen")
	b.refused(b.post(path+"/trial", "study", "0", "place", "19", "reading", "<i>"), http.StatusUnprocessableEntity, "Not a number")
	b.refused(b.post(path+"/trial", "study", "9", "place", "0", "reading", "1"), http.StatusNotFound, "")
	b.refused(b.get(path+"/study.csv?study=5"), http.StatusNotFound, "No such study")
	for _, bad := range [][]string{{"hands", ""}, {"hands", "A, A"}, {"crowns", "1"}, {"crowns", "x"}, {"trials", "99"}, {"seed", "-1"}, {"unit", "ell"}} {
		form := append(bad, "hands", "A", "crowns", "5", "trials", "2", "unit", "mm", "seed", "1")
		if w := b.post(path+"/study", form...); w.Code != http.StatusUnprocessableEntity {
			t.Errorf("%v: %d", bad, w.Code)
		}
	}
}

// Each hand reads each crown once a trial, in an order that the seed alone tells.
func TestStudy_OrderIsWhole(t *testing.T) {
	y := draft.Study{Crowns: []draft.Site{"1@1", "2@2", "3@3"}, Hands: []string{"A", "B"}, Trials: 3, Seed: 7}
	seen := map[draft.Step]bool{}
	for _, s := range y.Order() {
		seen[s] = true
	}
	if len(seen) != 18 || len(y.Order()) != 18 {
		t.Errorf("%d steps, %d of them unlike", len(y.Order()), len(seen))
	}
	if first, again := fmt.Sprint(y.Order()), fmt.Sprint(y.Order()); first != again {
		t.Error("the same seed gives two orders")
	}
	other := y
	other.Seed = 8
	if fmt.Sprint(y.Order()) == fmt.Sprint(other.Order()) {
		t.Error("two seeds give one order")
	}
}

func TestBoard_Judged(t *testing.T) {
	b := newTry(t, nil)
	path := b.open()
	b.sees(path+"/board", "No readings yet")
	if w := b.send(path+"/files", "board.csv", example(t, "heron-board.csv")); w.Code != http.StatusSeeOther {
		t.Fatal(w.Code, w.Body)
	}
	page := b.bareBoard(path)
	b.sees(page, `id="board-verdict"`, "ready", "slot", "mm ±")
	// The list that the advice speaks of is there, as `ringtrue board` prints it;
	// and the page says that it is not for crowns.
	text := b.sees(page, "sand with the radius block as listed", `id="board-sand"`, "Sand off behind each slot, mm", "Only for a board without frets", "Sanding hardwood",
		"dip over slots 9 to 11", "Set aside: the arch at slot 17 reads")
	if list := strings.SplitN(text, `id="board-sand"`, 2)[1]; !strings.Contains(list, `<th scope="col">lane 1</th>`) || strings.Count(list[:strings.Index(list, "</table>")], `<th scope="row">`) < 2 {
		t.Errorf("the list lacks lanes or slots: %s", list)
	}
	b.sees(path+"/neck", `id="to-board"`)
}

// bareBoard is the page of a neck's board once the maker has said that no frets
// are in.
func (b *try) bareBoard(path string) string {
	b.t.Helper()
	m := regexp.MustCompile(`name="bare" value="(\d+)"`).FindStringSubmatch(b.sees(path+"/board", "Are the frets in?"))
	if m == nil {
		b.t.Fatal("the page does not ask")
	}
	return path + "/board?bare=" + m[1]
}

// A fretted neck never gets a list of what to sand: not unasked, not once the
// readings are others than those asked of, and not where readings or work show the
// frets.
func TestBoard_NothingToSandOnFrets(t *testing.T) {
	b := newTry(t, nil)
	nothing := func(page string, wants ...string) {
		t.Helper()
		if text := b.sees(page, wants...); strings.Contains(text, "board-sand") || strings.Contains(text, "radius block") || strings.Contains(text, "board-verdict") {
			t.Errorf("%s tells what to sand", page)
		}
	}
	path := b.open()
	b.send(path+"/files", "seated.csv", example(t, "heron-seated.csv"))
	nothing(path+"/board", "Are the frets in?")
	nothing(path+"/board?bare=yes", "Are the frets in?")
	page := b.bareBoard(path)
	b.sees(page, "board-sand")
	b.post(path+"/read", "pass", "1", "at", "7@1", "seen", "99", "reading", "0.442")
	nothing(page, "Are the frets in?")

	for says, pass := range map[string][]string{"Heights of crowns": {"height"}, "strung neck": {"beam", "state", "strung"}} {
		path := b.open()
		b.begin(path, pass[0], pass[1:]...)
		b.send(path+"/files", "seated.csv", example(t, "heron-seated.csv"))
		b.sees(b.bareBoard(path), "board-sand")
		b.post(path+"/read", "pass", "2", "at", "7@1", "seen", "99", "reading", "1.042")
		nothing(path+"/board", says, "go by the plan")
	}
	path = b.readNeck()
	page = b.bareBoard(path)
	b.post(path+"/ticks", "box", "7@1:23", "on", "7@1:23")
	nothing(page, "Crowns of this stage were filed")
}

// FuzzSee sends any form to the handlers of plan, study and neck file: the bench
// answers and never fails inside.
func FuzzSee(f *testing.F) {
	paths := []string{"/ticks", "/study", "/trial", "/neckfile"}
	for i := range paths {
		for _, form := range []string{"box=7@1:23&on=7@1:23", "box=x", "hands=A&crowns=5&trials=2&unit=mm&seed=1", "study=0&place=0&reading=0,4", "study=0&place=1&do=undo",
			"do=save&name=x&scale.length=640 mm&given=%5bscale%5d", "do=look&strings.set[1].pitch=E4&board.radius=3;4", "a=%zz", "level.fall_away.from=9&given=x%3d1"} {
			f.Add(uint8(i), form)
		}
	}
	b := quick(f)
	path := b.open()
	f.Fuzz(func(t *testing.T, which uint8, form string) {
		b.t = t
		p := paths[int(which)%len(paths)]
		if p != "/neckfile" {
			p = path + p
		}
		r := httptest.NewRequest(http.MethodPost, p, strings.NewReader(form))
		r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
		if w := b.do(r); w.Code == http.StatusInternalServerError {
			t.Fatalf("%s %q: %s%s", p, form, w.Body, b.log)
		}
	})
}
