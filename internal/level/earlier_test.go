package level

import (
	"math"
	"strings"
	"testing"

	"ringtrue/internal/geometry"
	"ringtrue/internal/necktest"
	"ringtrue/internal/reading"
)

// readBy reads a lane of known crowns without error: a beam in two passes, each with
// its own offset and tilt, a bridge over every three neighbours, a probe in the
// neck's own axes. The equations are written out here, not taken from heights.
func readBy(l *geometry.Layout, lane float64, frets []int, crown map[int]float64, state string) []reading.Reading {
	row := func(m reading.Method, pass string, value float64, f ...int) reading.Reading {
		return reading.Reading{Method: m, Lane: lane, Frets: f, Value: value, U: 0.002, Pass: pass, State: state, Line: 7}
	}
	var out []reading.Reading
	for i, f := range frets {
		x := l.LaneX(f, lane)
		out = append(out, row(reading.Beam, "a", crown[f]+0.3-1e-4*x, f), row(reading.Beam, "b", crown[f]-0.1+2e-4*x, f))
		at := l.At(f, lane)
		touch := row(reading.Probe, "p", 0)
		touch.Lane, touch.Frets, touch.X, touch.Y, touch.Z = 0, nil, at.X, at.Y, crown[f]
		out = append(out, touch)
		if i > 0 && i+1 < len(frets) {
			low, high := l.LaneX(frets[i-1], lane), l.LaneX(frets[i+1], lane)
			line := crown[frets[i-1]] + (crown[frets[i+1]]-crown[frets[i-1]])*(x-low)/(high-low)
			out = append(out, row(reading.Bridge, "", crown[f]-line, frets[i-1], f, frets[i+1]))
		}
	}
	return out
}

// levelledLane is a lane read, filed as planned, then bowed by so much in the middle
// and read again; the readings before and after have the states.
func levelledLane(t *testing.T, bowMM float64, before, after string) (v Levelling, truth map[int]float64) {
	_, layout := necktest.Heron(t)
	was := map[int]float64{}
	truth = map[int]float64{}
	lane := Lane{Lane: 3}
	plan := LanePlan{}
	first, last := layout.FirstFret(), layout.LastFret()
	low, high := layout.LaneX(first, 3), layout.LaneX(last, 3)
	for f := first; f <= last; f++ {
		x := layout.LaneX(f, 3)
		was[f] = 0.02 * math.Sin(float64(f))
		remove := 0.0
		if f%3 == 0 {
			remove = 0.03
		}
		s := (2*x - low - high) / (high - low)
		truth[f] = was[f] - remove - bowMM*(1-s*s)
		lane.Frets, lane.X, lane.D, lane.U = append(lane.Frets, f), append(lane.X, x), append(lane.D, was[f]), append(lane.U, 0.002)
		plan.RemoveMM = append(plan.RemoveMM, remove)
	}
	now := lane
	now.D = nil
	for _, f := range lane.Frets {
		now.D = append(now.D, truth[f])
	}
	v = Levelling{
		Layout: layout, Lanes: []Lane{lane}, Now: []Lane{now}, Planned: Plan{Lanes: []LanePlan{plan}}, Known: true,
		Before: readBy(layout, 3, lane.Frets, was, before), After: readBy(layout, 3, lane.Frets, truth, after),
	}
	v.Compare()
	return v, truth
}

// TestEarlier_AsReadNow: what was read before, carried over, is what the same gauges
// at the same set-ups read of the filed neck, and is less sure where it was filed.
func TestEarlier_AsReadNow(t *testing.T) {
	v, truth := levelledLane(t, 0, "slack", "slack")
	want := readBy(v.Layout, 3, v.Lanes[0].Frets, truth, "slack")
	got := v.Earlier()
	if len(got) != len(want) {
		t.Fatalf("%d readings carried over, want %d", len(got), len(want))
	}
	times := map[int]float64{}
	for _, r := range got {
		for _, f := range framed(r, v) {
			times[f]++
		}
	}
	for i, r := range got {
		w := want[i]
		if d := math.Abs(r.Value - w.Value); !(d <= 1e-9) {
			t.Errorf("%s at frets %v carried over as %.6f mm, read now %.6f", r.Method, r.Frets, r.Value, w.Value)
		}
		if d := math.Abs(r.Z - w.Z); !(d <= 1e-9) {
			t.Errorf("touch at x %.1f carried over as %.6f mm, touched now %.6f", r.X, r.Z, w.Z)
		}
		if r.Line != 0 || r.Pass != PassBefore+w.Pass || r.State != "slack" {
			t.Errorf("carried over as line %d, pass %q, state %q", r.Line, r.Pass, r.State)
		}
		hand := 0.0 // all readings of a filed crown share the hand's one error, so each has it as often as the crown was read
		for k, f := range framed(r, v) {
			if f%3 == 0 {
				weight := 1.0
				if len(r.Frets) == 3 {
					weight = bridgeWeights(v.Layout, r.Frets)[k]
				}
				hand += weight * weight * HandMM * HandMM * times[f]
			}
		}
		if u := math.Sqrt(0.002*0.002 + hand); !(math.Abs(r.U-u) <= 1e-12) || r.UGiven != (hand > 0) {
			t.Errorf("%s at frets %v: u %.5f mm (given: %t), want %.5f", r.Method, r.Frets, r.U, r.UGiven, u)
		}
	}
}

// framed are a reading's frets; of a touch the fret it is on.
func framed(r reading.Reading, v Levelling) []int {
	if r.Method == reading.Probe {
		return []int{v.nearest(r.X, r.Y).Fret}
	}
	return r.Frets
}

// bridgeWeights is what each crown adds to the bridge's reading.
func bridgeWeights(l *geometry.Layout, f []int) []float64 {
	low, x, high := l.LaneX(f[0], 3), l.LaneX(f[1], 3), l.LaneX(f[2], 3)
	return []float64{-(high - x) / (high - low), 1, -(x - low) / (high - low)}
}

// TestEarlier_Bowed: where the rod may have moved, the second set says how the neck is
// bowed now. What was read before follows it but for a line, in halves.
func TestEarlier_Bowed(t *testing.T) {
	v, truth := levelledLane(t, 0.08, "slack", "strung")
	halves := map[string]bool{}
	for _, r := range v.Earlier() {
		if r.Method != reading.Bridge {
			halves[r.Pass] = true
			nut := framed(r, v)[0] <= (v.Layout.FirstFret()+v.Layout.LastFret())/2
			if nut != strings.HasSuffix(r.Pass, ", nut side") {
				t.Errorf("fret %v is in pass %q", framed(r, v), r.Pass)
			}
			continue
		}
		if r.Frets[1] == v.middle() {
			t.Errorf("the bridge over %v is carried over, where the chain may bend", r.Frets)
		}
		low, x, high := v.Layout.LaneX(r.Frets[0], 3), v.Layout.LaneX(r.Frets[1], 3), v.Layout.LaneX(r.Frets[2], 3)
		line := truth[r.Frets[0]] + (truth[r.Frets[2]]-truth[r.Frets[0]])*(x-low)/(high-low)
		if d := math.Abs(r.Value - (truth[r.Frets[1]] - line)); !(d <= 2e-5) {
			t.Errorf("bridge over %v carried over as %.5f mm, read now %.5f", r.Frets, r.Value, truth[r.Frets[1]]-line)
		}
	}
	for _, pass := range []string{"a", "b", "p"} {
		if !halves[PassBefore+pass+", nut side"] || !halves[PassBefore+pass+", body side"] || halves[PassBefore+pass] {
			t.Errorf("pass %s is not in halves: %v", pass, halves)
		}
	}
}

// TestEarlier_LeftOut: nothing is carried over of a fret that was pressed, of a crown
// filed by mistake, of a reading that was set aside; of crowns that nobody knows the
// filing of, nothing either.
func TestEarlier_LeftOut(t *testing.T) {
	v, _ := levelledLane(t, 0, "slack", "slack")
	v.First = map[int]bool{5: true}
	v.Now[0].D[10] -= 0.05 // fret 11, not planned
	v.Aside = map[int]bool{0: true}
	v.Compare()
	all := v.Earlier()
	if len(all) == 0 {
		t.Fatal("nothing carried over")
	}
	for _, r := range all {
		for _, f := range r.Frets {
			if f == 5 || f == 11 {
				t.Errorf("%s over %v carried over", r.Method, r.Frets)
			}
		}
		if r.Method == reading.Beam && r.Pass == PassBefore+"a" && r.Frets[0] == v.Lanes[0].Frets[0] {
			t.Error("a reading that was set aside is carried over")
		}
	}
	v.Known = false
	for _, r := range v.Earlier() {
		for _, f := range r.Frets {
			if f%3 == 0 && r.Method != reading.Height {
				t.Errorf("%s over %v carried over, its filing unknown", r.Method, r.Frets)
			}
		}
	}
}

// TestEarlier_NotReadAgain: of a crown that the second set leaves out, what was read
// before counts where it was not filed and the neck's state is noted and the same.
func TestEarlier_NotReadAgain(t *testing.T) {
	for state, want := range map[string]bool{"slack": true, "": false} {
		v, _ := levelledLane(t, 0, state, state)
		now := &v.Now[0]
		now.Frets, now.X, now.D, now.U = now.Frets[:20], now.X[:20], now.D[:20], now.U[:20] // frets 1 to 20; 21 was filed
		v.Compare()
		kept := map[int]bool{}
		for _, r := range v.Earlier() {
			if r.Method == reading.Beam {
				kept[r.Frets[0]] = true
			}
		}
		if kept[22] != want || kept[21] {
			t.Errorf("state %q: fret 21 carried over: %t, want false; fret 22: %t, want %t", state, kept[21], kept[22], want)
		}
	}
}

// TestLevelling_ByChance: a crown that moved by three standard uncertainties is not
// said to have been filed: among 22 crowns that comes by chance. It is not carried
// over either.
func TestLevelling_ByChance(t *testing.T) {
	v, _ := levelledLane(t, 0, "slack", "slack")
	v.Now[0].D[10] -= 3 * 0.002 * math.Sqrt2
	v.Compare()
	if d := v.Otherwise(nil); len(d.FiledByMistake) != 0 || v.stillHolds(Place{11, 3}) {
		t.Errorf("%+v, fret 11 holds: %t", d, v.stillHolds(Place{11, 3}))
	}
	v.Now[0].D[10] -= 0.002 * math.Sqrt2
	v.Compare()
	if d := v.Otherwise(nil); len(d.FiledByMistake) != 1 || d.FiledByMistake[0].Fret != 11 {
		t.Errorf("four standard uncertainties: %+v", d)
	}
}

// TestEarlier_Heights: a crown's height over the board loses what was planned off it,
// unless it was measured again.
func TestEarlier_Heights(t *testing.T) {
	v, _ := levelledLane(t, 0, "slack", "slack")
	height := func(f int, mm float64) reading.Reading {
		return reading.Reading{Method: reading.Height, Lane: 3, Frets: []int{f}, Value: mm, U: 0.02}
	}
	v.Before = []reading.Reading{height(3, 1.2), height(4, 1.21), height(6, 1.19)}
	v.After = []reading.Reading{height(6, 1.15)}
	got := v.Earlier()
	if len(got) != 2 || math.Abs(got[0].Value-1.17) > 1e-12 || got[1].Value != 1.21 {
		t.Errorf("carried over %+v", got)
	}
}

// TestLevelled: metal taken off shows against the new line; a fret that is pressed
// first ends in line with its neighbours, at the ends with the nearest.
func TestLevelled(t *testing.T) {
	frets, x := []int{1, 2, 3, 4, 5}, []float64{0, 10, 30, 40, 50}
	off, err := Levelled(frets, x, []float64{0.04, 0.06, 0.3, 0.09, 0.1}, []float64{0, 0.01, 0, 0.01, 0.01}, []int{3})
	if err != nil {
		t.Fatal(err)
	}
	for k, d := range off {
		if math.Abs(d) > 1e-12 {
			t.Errorf("fret %d is off by %g mm, want 0", frets[k], d)
		}
	}
	if _, err := Levelled(nil, nil, nil, nil, nil); err == nil {
		t.Error("no crowns, and no error")
	}
	for at, want := range map[float64]float64{-5: 1, 0: 1, 10: 1.5, 20: 2, 30: 2} {
		if got := InLine([]float64{0, 20}, []float64{1, 2}, at); math.Abs(got-want) > 1e-12 {
			t.Errorf("in line at %g: %g, want %g", at, got, want)
		}
	}
	if InLine(nil, nil, 3) != 0 {
		t.Error("no crowns, and a height")
	}
}
