package answer_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/answer"
	"ringtrue/internal/book"
	"ringtrue/internal/demo"
	"ringtrue/internal/inhand"
	"ringtrue/internal/neck"
	"ringtrue/internal/pace"
	"ringtrue/internal/wood"
)

// weekShop is a shop in mid-week, seen at a time that is handed in.
func weekShop(t *testing.T) (s book.Store, now time.Time) {
	t.Helper()
	now = time.Date(2026, 3, 18, 16, 0, 0, 0, time.UTC)
	s = emptyBook(t)
	d, err := demo.New(demo.Request{Week: now, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	for range 2 { // a second time changes nothing
		if _, err := d.Fill(t.Context(), s, answer.Judge("test"), nil, nil); err != nil {
			t.Fatal(err)
		}
	}
	return s, now
}

// Each thing planted in the shop in mid-week is found by the command that is named for
// it.
func TestDemoWeek_IsFound(t *testing.T) {
	s, now := weekShop(t)
	t.Run("shop", func(t *testing.T) {
		a, err := answer.InHand(t.Context(), s, answer.InHandRequest{Now: now, Days: 90, Shop: neck.UsualShop()})
		if err != nil || a.InHand < 6 || a.Ready < 3 || a.Done < 15 {
			t.Fatalf("%+v, %v", a, err)
		}
		at := map[string]answer.InHandNeck{}
		var steps []inhand.Step
		for _, n := range a.Necks {
			at[n.Serial] = n
			steps = append(steps, n.Step)
		}
		for _, want := range []inhand.Step{inhand.Setting, inhand.Wait, inhand.String, inhand.Play, inhand.Press} {
			if !slices.Contains(steps, want) {
				t.Errorf("no neck is to %q: %v", want, steps)
			}
		}
		if n := at["2030"]; n.Step != inhand.Setting || !n.Until.After(now) || n.Until.After(now.Add(48*time.Hour)) {
			t.Errorf("the glued neck: %+v", n)
		}
		if n := at["2029"]; n.Who != "Pia" {
			t.Errorf("the neck handed on: %+v", n)
		}
		if n := at["2028"]; n.Step != inhand.Wait || !strings.Contains(n.Words, "wire") {
			t.Errorf("the waiting neck: %+v", n)
		}
	})
	t.Run("where necks wait", func(t *testing.T) {
		a, err := answer.BookTimes(t.Context(), s, now)
		if err != nil || len(a.Between) < 2 {
			t.Fatalf("%+v, %v", a, err)
		}
		worst, next := a.Between[0], a.Between[1]
		if worst.From != "levelled" || worst.To != "crowned" || worst.MedianDays.Or(0) < 7 || next.MedianDays.Or(99) > 3 {
			t.Errorf("%+v, then %+v", worst, next)
		}
		if !slices.ContainsFunc(a.Now, func(w pace.Waiting) bool { return w.Stage == "levelled" && w.Necks >= 3 }) {
			t.Errorf("waiting now: %+v", a.Now)
		}
	})
	t.Run("the reader", func(t *testing.T) {
		a, err := answer.BookBeside(t.Context(), s, answer.BookBesideRequest{Serial: "2013", Stage: "seated", By: [2]string{"Ines", "Pia"}})
		if err != nil || a.ScatterP.Or(1) > 0.001 || !strings.Contains(strings.Join(a.Words, "\n"), "Pia's passes scatter more") {
			t.Errorf("%+v, %v", a, err)
		}
	})
	t.Run("the wire", func(t *testing.T) {
		zone, err := book.ParseFigure("zone", nil, nil)
		if err != nil {
			t.Fatal(err)
		}
		series, err := book.SeriesOf(t.Context(), s, book.Query{Figure: zone, Filter: book.Filter{Stage: "seated"}, By: "wire"})
		if err != nil {
			t.Fatal(err)
		}
		a, err := answer.Drift(t.Context(), answer.DriftRequest{Series: series, By: "wire"})
		if err != nil || a.Steady || len(a.Shifts) == 0 || a.Shifts[0].First != 21 {
			t.Fatalf("%+v, %v", a, err)
		}
		if a.PartsDiffer == nil || a.PartsDiffer.P > 0.001 || len(a.Parts) != 2 {
			t.Errorf("lots: %+v", a.PartsDiffer)
		}
	})
	t.Run("the wet board", func(t *testing.T) {
		air := wood.Air{TempC: 21, HumidityPct: 40, DriestPct: 25, DampestPct: 65} // the command's own
		ready := map[string]bool{}
		for _, serial := range []string{"2016", "2017"} {
			f, err := book.Read(t.Context(), s, serial, "")
			if err != nil {
				t.Fatal(err)
			}
			a, err := answer.Wood(t.Context(), answer.WoodRequest{Model: f.Model, Layout: f.Layout, Air: air, Limits: wood.Usual()})
			if err != nil {
				t.Fatal(err)
			}
			ready[serial] = a.Ready
		}
		if !ready["2016"] || ready["2017"] {
			t.Errorf("ready: %v", ready)
		}
	})
}
