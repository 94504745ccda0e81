package readplan

import (
	"context"
	"errors"
	"slices"
	"testing"

	"ringtrue/internal/reading"
	"ringtrue/internal/straight"
)

func trialOf(uMM float64, sparse bool) Trial {
	lanes, _ := sixLanes()
	t := Trial{Lanes: lanes, Shop: UsualShop(), LimitMM: 0.030, Seed: 5, Level: 40, Others: 80}
	var names []float64
	for _, l := range lanes {
		names = append(names, l.Lane)
		t.ShapeMM = append(t.ShapeMM, make([]float64, len(l.Frets)))
	}
	t.Steps = First(names, lanes[0].Frets, Gauge{Method: reading.Beam, UMM: uMM}, sparse)
	inner := Set{Method: reading.Beam, Lanes: names[1:5], Frets: lanes[0].Frets, UMM: uMM}
	least := 3
	if !sparse { // all were read: once more
		inner.Lanes, least = names, len(lanes[0].Frets)
	}
	t.Judge = newBelief(t, uMM, least, inner).judge
	return t
}

// TestFirst_SparseHalves: where crowns that are not read may be told from the same
// fret's others, the sparse plan calls level necks level with little more than half of
// the readings that reading every crown takes, and no neck wrongly.
func TestFirst_SparseHalves(t *testing.T) {
	for _, uMM := range []float64{0.003, 0.005} {
		var got [2]Tried
		for i, sparse := range []bool{false, true} {
			var err error
			if got[i], err = trialOf(uMM, sparse).Run(t.Context()); err != nil {
				t.Fatal(err)
			}
			t.Logf("u %v, sparse %v: %+v", uMM, sparse, got[i])
		}
		whole, sparse := got[0], got[1]
		if whole.Level != 40 || sparse.Level != 40 || sparse.Wrong > whole.Wrong+1 {
			t.Errorf("u %v: %+v and %+v", uMM, whole, sparse)
		}
		if sparse.Readings > 0.65*whole.Readings || sparse.SaidLevel < whole.SaidLevel-3 {
			t.Errorf("u %v: %.0f readings where every crown takes %.0f; level %d and %d", uMM, sparse.Readings, whole.Readings, sparse.SaidLevel, whole.SaidLevel)
		}
	}
}

// TestFirst: the plan's sets, lane by lane.
func TestFirst(t *testing.T) {
	six, frets := []float64{1, 2, 3, 4, 5, 6}, run(1, 22, 1)
	beam, bridge := Gauge{Method: reading.Beam, UMM: 0.005}, Gauge{Method: reading.Bridge, UMM: 0.003}
	whole, sparse := First(six, frets, beam, false), First(six, frets, beam, true)
	if len(whole) != 2 || whole[0].Readings() != 44 || whole[1].Readings() != 88 {
		t.Errorf("%+v", whole)
	}
	if len(sparse) != 2 || sparse[0].Readings() != 44 || sparse[1].Readings() != 22 {
		t.Errorf("%+v", sparse)
	}
	var between []int
	for _, s := range sparse[1].Sets {
		if len(s.Frets) < minSparse {
			t.Errorf("lane %v has %d readings", s.Lanes, len(s.Frets))
		}
		between = append(between, s.Frets...)
	}
	if slices.Sort(between); !slices.Equal(between, frets) {
		t.Errorf("between the outer lanes %v are read, not every fret once", between)
	}
	if s := First(six, frets, bridge, true); len(s) != 3 || s[1].Sets[0].Method != reading.Edge || s[0].Readings()+s[2].Readings() != 120 {
		t.Errorf("a bridge: %+v", s)
	}
	if s := First([]float64{1, 2}, frets, beam, true); len(s) != 1 || s[0].Readings() != 44 {
		t.Errorf("two lanes: %+v", s)
	}
	if s := First(nil, frets, beam, true); s != nil {
		t.Errorf("no lane: %+v", s)
	}
	if s := First(six, run(1, 12, 1), beam, true); s[1].Readings() != 48 {
		t.Errorf("so few frets are all read: %+v", s)
	}
}

// TestTrial_Counts: what a judge says is counted, and readings are only those taken
// until then.
func TestTrial_Counts(t *testing.T) {
	tr := trialOf(0.005, false)
	tr.Level = 10
	tr.Judge = func(r []reading.Reading, _ bool) (Said, error) {
		if len(r) < 132 {
			return Said{Verdict: straight.InDoubt}, nil
		}
		return Said{Verdict: straight.Level}, nil
	}
	got, err := tr.Run(t.Context())
	if err != nil || got.Level != 10 || got.SaidLevel != 10 || got.ByPlan != 10 || got.Readings != 132 || got.Wrong != got.Others || got.Others == 0 {
		t.Errorf("%+v, %v", got, err)
	}
	tr.Judge = func([]reading.Reading, bool) (Said, error) { return Said{Verdict: straight.InDoubt}, nil }
	if got, err = tr.Run(t.Context()); err != nil || got.InDoubt != 10 || got.SaidLevel != 0 || got.Readings != 0 {
		t.Errorf("%+v, %v", got, err)
	}
	tr.Judge = func([]reading.Reading, bool) (Said, error) { return Said{}, errors.New("no") }
	if _, err = tr.Run(t.Context()); err == nil {
		t.Error("a judge's error is lost")
	}
	done, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err = tr.Run(done); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// TestTrial_LevelShare: rough frets make fewer level necks.
func TestTrial_LevelShare(t *testing.T) {
	tr := trialOf(0.005, false)
	usual := tr.LevelShare()
	tr.Shop.FretMM, tr.Shop.TiltMM = 0.03, 0.02
	if rough := tr.LevelShare(); usual < 0.2 || usual > 0.6 || rough > 0.01 {
		t.Errorf("usual %v, rough %v", usual, rough)
	}
}
