package playthrough

import (
	"errors"
	"testing"
	"time"

	"ringtrue/internal/listen"
	"ringtrue/internal/necktest"
)

func heron(t *testing.T) listen.Request {
	t.Helper()
	m, l := necktest.Heron(t)
	return listen.Request{Model: m, Layout: l, To: -1}
}

// A key is of the note that rings when it is pressed, not of one that begins at that
// moment; the later of two counts, and one before any note is of none.
func TestPlace_OfTheNoteThatRings(t *testing.T) {
	take, err := New("x", heron(t), 10000, "firm")
	if err != nil {
		t.Fatal(err)
	}
	points := []point{{10000, 0}, {20000, 1}, {30000, -1}, {40000, 3}}
	take.marks = map[int]Ear{5000: Clear, 15000: Clear, 16000: Buzzes, 20500: Clear, 25000: Clear, 35000: Clear, 49000: Buzzes}
	ears := map[int]Ear{}
	stray := take.place(points, 48000, func(n int, e Ear) { ears[n] = e })
	if stray != 2 || len(ears) != 2 || ears[0] != Clear || ears[1] != Clear {
		t.Errorf("%v, %d of no note", ears, stray)
	}
	delete(take.marks, 20500) // it was of the first note still
	take.place(points, 50000, func(n int, e Ear) { ears[n] = e })
	if ears[0] != Buzzes || ears[3] != Buzzes {
		t.Errorf("%v", ears)
	}
}

// A take is bounded: what is beyond its length is not taken, and said.
func TestTake_Bounded(t *testing.T) {
	take, err := New("x", heron(t), minRateHz, "firm")
	if err != nil {
		t.Fatal(err)
	}
	take.samples = make([]int16, MostSeconds*minRateHz-100)
	take.loud = len(take.samples)
	s, err := take.Add(len(take.samples), make([]byte, 1000), nil)
	if err != nil || s.Have != MostSeconds*minRateHz || s.Hint != Full {
		t.Errorf("%d samples, %q, %v", s.Have, s.Hint, err)
	}
	if _, err := take.Add(s.Have, make([]byte, 3), nil); !errors.Is(err, ErrSamples) {
		t.Error(err)
	}
	for _, rate := range []float64{0, -1, 1e6} {
		if _, err := New("x", heron(t), rate, ""); !errors.Is(err, ErrRate) {
			t.Error(rate, err)
		}
	}
}

// There are three takes at most; one that nothing was asked of for two minutes makes way.
func TestRoom_Bounded(t *testing.T) {
	var r Room
	now := time.Date(2026, 3, 14, 9, 0, 0, 0, time.UTC)
	begin := func(neck string) error {
		_, err := r.Begin(neck, now, func(id string) (*Take, error) { return New(id, heron(t), 48000, "firm") })
		return err
	}
	for _, neck := range []string{"a", "b", "c", "c"} {
		if err := begin(neck); err != nil {
			t.Fatal(err)
		}
	}
	if err := begin("d"); !errors.Is(err, ErrBusy) {
		t.Error(err)
	}
	now = now.Add(time.Minute)
	if r.Of("a", r.takes["a"].take.ID, now) == nil || r.Of("b", "x", now) != nil {
		t.Error("a take is not the one that was named")
	}
	now = now.Add(90 * time.Second)
	if err := begin("d"); err != nil || len(r.takes) != 2 || r.takes["a"] == nil {
		t.Errorf("%v, %d takes", err, len(r.takes))
	}
}
