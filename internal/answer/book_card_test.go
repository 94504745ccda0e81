package answer_test

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
)

func (s *shop) card(r answer.BookCardRequest) *answer.BookCardAnswer {
	s.t.Helper()
	a, _, err := answer.BookCard(s.t.Context(), s.book, r)
	if err != nil {
		s.t.Fatal(err)
	}
	return a
}

// letterOf is a letter's words in one line.
func letterOf(a *answer.BookCardAnswer) string {
	var all []string
	for _, p := range a.Letter {
		all = append(all, p.Heading+":")
		all = append(all, p.Words...)
	}
	return strings.Join(all, " ")
}

// Of lanes read with leaves the letter gives the most that they may be off.
func TestBookCard_Leaves(t *testing.T) {
	s := newShop(t)
	var rows strings.Builder
	rows.WriteString("method,lane,fret,reading,unit,no_go\n")
	for lane := 1; lane <= 6; lane++ {
		for fret := 1; fret <= 22; fret++ {
			fmt.Fprintf(&rows, "edge,%d,%d,0.05,mm,0.07\n", lane, fret)
		}
	}
	s.add("0412", "levelled", s.neck, rows.String())
	a := s.card(answer.BookCardRequest{Serial: "0412"})
	within, letter := 0.0, letterOf(a)
	_, number, _ := strings.Cut(letter, "straight to within ")
	if _, err := fmt.Sscanf(number, "%f mm", &within); err != nil || within < a.Now.ZoneMM.Or(1)+0.02 { // a leaf's step
		t.Errorf("zone %.3f: %s", a.Now.ZoneMM.Or(1), letter)
	}
}

// The letter says what is known and no more: of a neck that wore, by its dates; of one
// visit; of readings without dates or in two states; of a neck on which nothing wore.
func TestBookCard_SaysWhatIsKnown(t *testing.T) {
	s := newShop(t)
	left := visit{stage: "levelled", date: "2024-03-08", passes: 2, state: "slack", change: flat}
	back := func(date, state string, change func(int, int) float64) visit {
		return visit{stage: "serviced", date: date, passes: 2, state: state, change: both(flat, change)}
	}
	still := func(int, int) float64 { return 0 }
	noDate := left
	noDate.date = ""
	for serial, c := range map[string]struct {
		visits    []visit
		says, not []string
	}{
		"worn": {[]visit{left, back("2026-03-09", "slack", grooved(0.022))}, []string{
			"How it left the shop: 8 March 2024: level.", "How it is now: 9 March 2026, 2.0 years later: ", "worn frets 1-3, under strings 2 and 3.",
			"Levelling: 2026 to ", "New frets: 20", "Bring it in when a note buzzes or a string catches, and by 2026 in any case."}, []string{"Now: "}},
		"worn out": {[]visit{left, back("2026-03-09", "slack", grooved(0.08))}, []string{"2.0 years later: not level.", "Now: levelling.", "New frets: 20"},
			[]string{"Levelling: 20", "Bring it in"}},
		"one visit": {[]visit{left}, []string{"How it is: 8 March 2024: level.", "Wear shows when the neck is read again"}, []string{"left the shop", "New frets", "No year"}},
		"a week":    {[]visit{left, back("2024-03-15", "slack", still)}, []string{"How it is: 15 March 2024: level."}, []string{"left the shop"}},
		"unworn":    {[]visit{left, back("2026-03-09", "slack", still)}, []string{"What wears: Nothing that shows.", "No year can be given while no wear shows."}, []string{"New frets", "have worn"}},
		"two states": {[]visit{left, back("2026-03-09", "strung", grooved(0.05))}, []string{"wear and bending look the same"},
			[]string{"New frets", "have worn"}},
		"an end up": {[]visit{left, back("2026-03-09", "slack", func(f, l int) float64 {
			if f == 18 {
				return 0.06 * float64(6-l) / 5
			}
			return 0
		})}, []string{"Fret 18 treble end rose: not worn, it moved in the wood.", "Now: seating frets"}, []string{"New frets", "have worn"}},
		"no date": {[]visit{noDate, back("2026-03-09", "slack", grooved(0.05))}, nil, []string{"New frets", "Levelling: 20"}},
	} {
		t.Run(serial, func(t *testing.T) {
			for _, v := range c.visits {
				s.read(serial, v)
			}
			words := letterOf(s.card(answer.BookCardRequest{Serial: serial}))
			for _, says := range c.says {
				if !strings.Contains(words, says) {
					t.Errorf("does not say %q: %s", says, words)
				}
			}
			for _, not := range c.not {
				if strings.Contains(words, not) {
					t.Errorf("says %q: %s", not, words)
				}
			}
		})
	}
	// Stages by name, and names that are none.
	if a := s.card(answer.BookCardRequest{Serial: "a week", Left: "levelled"}); a.Left == nil || a.LeastCrown != nil {
		t.Errorf("left %+v, worn out %+v", a.Left, a.LeastCrown)
	}
	if a := s.card(answer.BookCardRequest{Serial: "worn", Now: "levelled"}); a.Left != nil || a.Now.Stage != "levelled" {
		t.Errorf("told of %+v, left %+v", a.Now, a.Left)
	}
	for _, r := range []answer.BookCardRequest{{Serial: "none"}, {Serial: "worn", Left: "none"}, {Serial: "worn", Now: "none"}} {
		if _, _, err := answer.BookCard(t.Context(), s.book, r); !errors.Is(err, book.ErrNotFound) {
			t.Errorf("%+v: %v", r, err)
		}
	}
}
