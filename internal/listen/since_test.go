package listen

import (
	"math"
	"math/rand/v2"
	"testing"

	"ringtrue/internal/book"
	"ringtrue/internal/num"
	"ringtrue/internal/recording"
)

// take is a play-through of six strings of 23 notes whose rings and cents scatter as
// plucks do; change alters one before it is heard.
func take(r *rand.Rand, change func(n *book.HeardNote)) book.Played {
	var p book.Played
	for s := 6; s >= 1; s-- {
		p.Strings = append(p.Strings, book.HeardString{String: s, SaddleMM: num.Some(0.05 * r.NormFloat64()), USaddleMM: num.Some(0.05)})
		for f := range 23 {
			n := book.HeardNote{String: s, Fret: f, UCents: 0.1, CentsAtS: [2]float64{0.25, 0.75}, Cents: 2 + 0.1*float64(f), RingS: num.Some(4 / (1 + 0.1*float64(f)))}
			if change != nil {
				change(&n)
			}
			n.Cents += pluckCents * r.NormFloat64()
			n.RingS = num.Some(n.RingS.Or(0) * math.Exp(pluckRing*r.NormFloat64()))
			p.Notes = append(p.Notes, n)
		}
	}
	return p
}

// TestSince_NothingChanged: where nothing has changed, one comparison of necks in twenty
// says that something has, at most; also where plucks scatter twice as much as is thought.
func TestSince_NothingChanged(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for _, wide := range []float64{1, 2} {
		alarms := 0
		const times = 200
		for range times {
			then, now := take(r, nil), take(r, nil)
			for i := range now.Notes {
				n := &now.Notes[i]
				n.Cents = 2 + 0.1*float64(n.Fret) + wide*(n.Cents-2-0.1*float64(n.Fret))
				usual := 4 / (1 + 0.1*float64(n.Fret))
				n.RingS = num.Some(usual * math.Pow(n.RingS.Or(0)/usual, wide))
			}
			if c := Since(then, now); c.Cents != 132 || c.Rings != 138 {
				t.Fatalf("%+v", c)
			} else if len(c.Changed) > 0 {
				alarms++
			}
		}
		if t.Logf("%d of %d", alarms, times); alarms > times/20+5 {
			t.Errorf("scatter x %g: %d of %d necks are said to have changed", wide, alarms, times)
		}
	}
}

// TestSince_WhatWasPutIn: a note that rings a quarter as long, one 15 cents sharp, a string
// that rings a third as long on all frets, a saddle half a millimetre off; and no other.
func TestSince_WhatWasPutIn(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	then := take(r, nil)
	now := take(r, func(n *book.HeardNote) {
		switch {
		case n.String == 3 && n.Fret == 7:
			n.RingS = num.Some(n.RingS.Or(0) / 4)
		case n.String == 5 && n.Fret == 12:
			n.Cents += 15
		case n.String == 2:
			n.RingS = num.Some(n.RingS.Or(0) / 3)
		}
		n.Cents -= 8 // the whole neck tuned lower: no change of any fret
	})
	now.Strings[5].SaddleMM = num.Some(0.5)
	got := Since(then, now).Changed
	want := []Change{{String: 1, Fret: -1, Of: SaddleChange}, {String: 2, Fret: -1, Of: RingChange}, {String: 3, Fret: 7, Of: RingChange}, {String: 5, Fret: 12, Of: CentsChange}}
	if len(got) != len(want) {
		t.Fatalf("%+v", got)
	}
	for i, c := range got {
		if c.String != want[i].String || c.Fret != want[i].Fret || c.Of != want[i].Of {
			t.Errorf("%+v, want %+v", c, want[i])
		}
	}
	if math.Abs(math.Log(3*got[1].By)) > 0.1 || math.Abs(math.Log(4*got[2].By)) > 0.5 || math.Abs(got[3].By-15) > 5 {
		t.Errorf("%+v", got)
	}
	now.Flaws = []string{string(recording.Clipped)}
	for _, c := range []Changes{Since(then, now), Since(now, then)} {
		if c.Rings != 0 || len(c.Changed) != 2 || c.Changed[0].Of == RingChange || c.Changed[1].Of == RingChange {
			t.Errorf("a ring that clipped is compared: %+v", c)
		}
	}
}

// TestSince_OnlyAlike: cents told at another moment, or without an open string, are not
// compared; nor is a ring that was cut.
func TestSince_OnlyAlike(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	then, now := take(r, nil), take(r, nil)
	for i := range now.Notes {
		switch n := &now.Notes[i]; {
		case n.String == 1:
			n.CentsAtS[0] = 0.05
		case n.String == 2 && n.Fret == 0:
			n.Fret = 99
		case n.String == 3:
			n.RingS = num.Opt{}
		}
	}
	if c := Since(then, now); c.Cents != 4*22 || c.Rings != 4*23+22 {
		t.Errorf("%+v", c)
	}
}
