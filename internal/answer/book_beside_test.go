package answer_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
)

// An apprentice beside a master on one neck: of twice the scatter, and with one crown that
// is read otherwise. Both are found in the readings of one record, of two, and by a bridge.
func TestBookBeside(t *testing.T) {
	s := newShop(t)
	readings := func(method string, hands ...string) string {
		var b strings.Builder
		b.WriteString("method,lane,fret,reading,unit,pass,by,date\n")
		for lane := 1; lane <= 6; lane++ {
			for _, by := range hands {
				for pass := range 2 {
					sd, habit := 0.003, 0.0
					if by == "Ines" {
						sd, habit = 0.006, 0.04
					}
					for fret := 2; fret <= 21; fret++ {
						v, at := 0.3+sd*s.rng.NormFloat64(), fmt.Sprint(fret)
						if method == "bridge" {
							v, at = v-0.3, fmt.Sprintf("%d-%d-%d", fret-1, fret, fret+1)
						}
						if fret == 7 && lane == 1 {
							v += habit
						}
						fmt.Fprintf(&b, "%s,%d,%s,%.4f,mm,%s%d,%s,2026-03-20\n", method, lane, at, v, by, pass, by)
					}
				}
			}
		}
		return b.String()
	}
	s.add("one", "seated", s.neck, readings("beam", "Ana", "Ines"))
	s.add("two", "seated", s.neck, readings("beam", "Ana"))
	s.add("two", "seated", s.neck, readings("beam", "Ines"))
	s.add("bridge", "seated", s.neck, readings("bridge", "Ana", "Ines"))
	for serial, records := range map[string]int{"one": 1, "two": 2, "bridge": 1} {
		a, err := answer.BookBeside(t.Context(), s.book, answer.BookBesideRequest{Serial: serial, By: [2]string{"Ana", "Ines"}})
		if err != nil {
			t.Fatal(err)
		}
		words := strings.Join(a.Words, "\n")
		if len(a.Records) != records || a.Parts != 120 || a.Hands[0].Passes != 12 || a.ScatterP.Or(1) > 0.001 {
			t.Errorf("%s: %d parts, records %v, %+v", serial, a.Parts, a.Records, a.Hands)
		}
		if len(a.Differ) == 0 || a.Differ[0].Part != "fret 7, lane 1" || a.Differ[0].Off < 0.025 || !strings.Contains(words, "Ines reads differently at fret 7, lane 1 (+0.0") {
			t.Errorf("%s: %+v\n%s", serial, a.Differ, words)
		}
		if !strings.Contains(words, " passes by Ines are as good as one by Ana.") {
			t.Errorf("%s: %s", serial, words)
		}
		if a.Off.Known() != (serial == "bridge") {
			t.Errorf("%s: an offset is known: %v", serial, a.Off)
		}
	}
	for _, by := range [][2]string{{"Ana", "Rolf"}, {"Anna", "Ines"}} {
		if _, err := answer.BookBeside(t.Context(), s.book, answer.BookBesideRequest{Serial: "one", By: by}); !errors.Is(err, book.ErrNotFound) {
			t.Errorf("%v: %v", by, err)
		}
	}
	s.add("far", "seated", s.neck, readings("beam", "Ana"))
	if _, err := answer.BookBeside(t.Context(), s.book, answer.BookBesideRequest{Serial: "far", By: [2]string{"Ana", "Ines"}}); !errors.Is(err, book.ErrNotFound) {
		t.Errorf("one hand alone: %v", err)
	}
}
