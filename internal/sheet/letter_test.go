package sheet

import (
	"fmt"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/geometry"
	"ringtrue/internal/num"
	"ringtrue/internal/text"
	"ringtrue/internal/wear"
)

// letter is a letter on a neck that came back; more: with as many sentences as there can be.
func letter(l *geometry.Layout, more bool) *answer.BookCardAnswer {
	c := serviced(l)
	a := &answer.BookCardAnswer{Serial: "0412", Model: "Heron 22", ZoneLimitMM: 0.03, Compared: c}
	wears := []string{text.LetterWorn([]int{1, 2, 3}, []float64{2, 3}, wear.WornCrown{Fret: 1, Lane: 2, DepthMM: 0.04, UMM: 0.004})}
	work := []string{text.LetterWants(true, true, true), text.LetterNewFrets(*c.LeastCrown, false), text.LetterAsPlayed, text.LetterBring(2028, true)}
	if more {
		a.Model = strings.Repeat("Heron of the long name ", 3)
		for _, how := range []string{"treble end rose", "bass end rose", "rose as a whole", "sank equally in every lane", "sank, its treble end more"} {
			wears = append(wears, text.LetterMoved([]int{5, 7, 9, 11, 13, 15}, how))
		}
		work = append(work, text.LetterDue(wear.Due{LimitMM: 0.03, SoonestYear: num.Some(2027), LatestYear: num.Some(2031)}), text.LetterNoDate)
	}
	a.Letter = []answer.CardParagraph{
		{Heading: text.LetterLeft, Words: []string{text.LetterState(c.From.Date, 0, "level", 0.012, 0.03), text.LetterPaper}},
		{Heading: text.LetterNow, Words: []string{text.LetterState(c.To.Date, 2, "not level", 0.061, 0.03), text.LetterBow(*c.Bow)}},
		{Heading: text.LetterWears, Words: wears},
		{Heading: text.LetterWork, Words: work},
	}
	return a
}

func TestOwnersLetter_Golden(t *testing.T) {
	l := testNeck(t, 6, 22, 0)
	p, err := OwnersLetter(letter(l, false), l, A4, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, p, 0.5)
	golden(t, p, "letter.svg")
}

// On both papers, in mm and inches, with few strings and many and all that it may have to
// say: one page, no text on another or on the line to sign.
func TestOwnersLetter_OnePage(t *testing.T) {
	for _, paper := range []Paper{A4, Letter, Phone} {
		for _, strings := range []int{4, 6, 12} {
			for _, units := range []Units{Micrometres, Thousandths} {
				l := testNeck(t, strings, 24, 0)
				p, err := OwnersLetter(letter(l, true), l, paper, units)
				if err != nil {
					t.Fatalf("%v, %d strings: %v", paper, strings, err)
				}
				clean(t, p, 0.5)
				if w, h := p.Size(); w > h {
					t.Errorf("a page of %g by %g mm lies down", w, h)
				}
				if words := fmt.Sprint(textsOf(p)); units == Thousandths == contains(words, " mm") {
					t.Errorf("units %v: %s", units, words)
				}
			}
		}
	}
}

func contains(s, part string) bool { return strings.Contains(s, part) }

// A letter without an earlier reading shows how the crowns stand; one without crowns or
// with more words than a page has is refused.
func TestOwnersLetter_Refused(t *testing.T) {
	l := testNeck(t, 6, 22, 0)
	a := letter(l, false)
	a.Compared = nil
	if _, err := OwnersLetter(a, l, A4, Micrometres); err == nil {
		t.Error("a letter without any crown was drawn")
	}
	a.Crowns = []answer.CrownAnswer{{Fret: 1, Lane: 1, OffMM: 0.02, Verdict: "high"}}
	p, err := OwnersLetter(a, l, A4, Micrometres)
	if err != nil || !contains(fmt.Sprint(textsOf(p)), "Full: high") {
		t.Errorf("one reading: %v", err)
	}
	for range 40 {
		a.Letter[2].Words = append(a.Letter[2].Words, text.LetterAsPlayed)
	}
	if _, err := OwnersLetter(a, l, A4, Micrometres); err == nil {
		t.Error("more than a page was drawn on one")
	}
}
