package answer

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"
	"time"

	"ringtrue/internal/book"
	"ringtrue/internal/casetest"
	"ringtrue/internal/drift"
	"ringtrue/internal/num"
)

// zones is an invented series: 60 necks, wire lot 7 from the 41st on, which
// stands higher.
func zones() drift.Series {
	r := rand.New(rand.NewPCG(60, 41))
	s := drift.Series{Name: "zone", Unit: "mm"}
	day := time.Date(2024, 1, 8, 0, 0, 0, 0, time.UTC)
	for i := range 60 {
		p := drift.Point{Value: 0.021 + 0.003*r.NormFloat64(), Label: fmt.Sprintf("%04d", 412+i), Date: day, Tags: map[string]string{"wire": "lot6"}}
		if i >= 40 {
			p.Value += 0.008
			p.Tags["wire"] = "lot7"
		}
		s.Points = append(s.Points, p)
		day = day.AddDate(0, 0, 2)
	}
	return s
}

func mustDrift(t *testing.T, r DriftRequest) *DriftAnswer {
	t.Helper()
	a, err := Drift(context.Background(), r)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func TestDrift_DatesTheStep(t *testing.T) {
	a := mustDrift(t, DriftRequest{Series: book.Series{Series: zones()}, By: "wire", Design: drift.Design{EWMA: &drift.EWMADesign{Lambda: 0.2, Width: 3}, CUSUM: &drift.CusumDesign{K: 0.5, H: 5}}})
	if a.Steady || len(a.Shifts) != 1 {
		t.Fatalf("steady %v, steps %+v; want one step", a.Steady, a.Shifts)
	}
	c := a.Shifts[0]
	if c.Earliest > 41 || c.Latest < 41 || c.Label == "" || c.Date == "" || c.FromDate > c.Date || c.ToDate < c.Date {
		t.Errorf("step %+v, want one about point 41 with its label and dates", c)
	}
	if len(a.Parts) != 2 || a.Parts[0].Tag != "lot6" || a.Parts[1].Answer.Values != 20 {
		t.Fatalf("parts %+v", a.Parts)
	}
	if d := a.PartsDiffer; d == nil || d.P > 1e-6 {
		t.Errorf("parts differ: %+v, want beyond doubt", d)
	}
	if rise := a.Parts[1].Answer.Centre - a.Parts[0].Answer.Centre; math.Abs(rise-0.008) > 0.002 {
		t.Errorf("lot 7 stands %.4f higher, want about 0.008", rise)
	}
	if a.EWMA == nil || a.CUSUM == nil || len(a.CUSUM.High) != 60 {
		t.Error("a chart that was asked for is missing")
	}
}

// The shape of the JSON that others read.
func TestDrift_JSON(t *testing.T) {
	s := drift.Series{}
	for _, v := range []float64{1, 2, 1, 2, 1, 2, 1, 2, 1, 2, 1, 9} {
		s.Points = append(s.Points, drift.Point{Value: v})
	}
	data, err := json.Marshal(mustDrift(t, DriftRequest{Series: book.Series{Series: s}}))
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Chart                       string
		Centre, Lower, Upper, Sigma *float64
		Points                      []float64
		Signals                     []struct {
			Index int
			Rule  string
		}
	}
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	if got.Chart != "individuals" || got.Centre == nil || got.Lower == nil || got.Upper == nil || got.Sigma == nil || len(got.Points) != 12 {
		t.Fatalf("%s", data)
	}
	if want := (10.0 + 8) / 11 / 1.128; math.Abs(*got.Sigma-want) > 1e-12 {
		t.Errorf("sigma %g, want the mean moving range over 1.128, %g", *got.Sigma, want)
	}
	if n := len(got.Signals); n == 0 || got.Signals[n-1].Index != 12 || got.Signals[n-1].Rule != "beyond 3 sigma" {
		t.Errorf("signals %+v, want the last at 12, beyond 3 sigma", got.Signals)
	}
}

func TestDrift_KindsGoByColumns(t *testing.T) {
	grouped := drift.Series{Points: []drift.Point{{Value: 1, Group: "a"}, {Value: 2, Group: "a"}, {Value: 3, Group: "b"}, {Value: 2, Group: "b"}}}
	faulty := drift.Series{Points: []drift.Point{{Value: 1, OutOf: 20}, {Value: 3, OutOf: 20}}}
	plain := drift.Series{Points: []drift.Point{{Value: 1}, {Value: 3}, {Value: 2}}}
	for _, c := range []struct {
		r    DriftRequest
		want drift.Kind
	}{
		{DriftRequest{Series: book.Series{Series: grouped}}, "means"}, {DriftRequest{Series: book.Series{Series: faulty}}, "proportion"}, {DriftRequest{Series: book.Series{Series: plain}}, "individuals"},
		{DriftRequest{Series: book.Series{Series: plain}, Design: drift.Design{Kind: drift.KindCount}}, "count"}, {DriftRequest{Series: book.Series{Series: grouped}, Design: drift.Design{Kind: drift.KindIndividuals}}, "individuals"},
	} {
		if a := mustDrift(t, c.r); a.Kind != c.want {
			t.Errorf("chart %s, want %s", a.Kind, c.want)
		}
	}
	a := mustDrift(t, DriftRequest{Series: book.Series{Series: grouped}, Design: drift.Design{Spread: drift.ByDeviation}})
	if a.Spread == nil || a.Spread.Kind != "standard deviations" || len(a.Groups) != 2 || a.Groups[1].Name != "b" {
		t.Errorf("spread %+v, groups %+v", a.Spread, a.Groups)
	}
}

// Numbers without meaning print as null: groups of one have no range.
func TestDrift_NullsAreNoNumbers(t *testing.T) {
	s := drift.Series{Points: []drift.Point{{Value: 1, Group: "a"}, {Value: 2, Group: "a"}, {Value: 3, Group: "b"}}}
	data, err := json.Marshal(mustDrift(t, DriftRequest{Series: book.Series{Series: s}}))
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Spread struct{ Points []*float64 }
	}
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	if p := got.Spread.Points; len(p) != 2 || p[0] == nil || p[1] != nil {
		t.Errorf("ranges %v, want a number and null", p)
	}
	if !bytes.Contains(data, []byte(`"signals":[]`)) {
		t.Errorf("no signal is no empty list: %s", data)
	}
}

func TestDrift_FalseAlarms(t *testing.T) {
	steady := drift.Series{}
	r := rand.New(rand.NewPCG(8, 8))
	for range 92 {
		steady.Points = append(steady.Points, drift.Point{Value: r.NormFloat64()})
	}
	for _, c := range []struct {
		rules []drift.Rule
		how   string
		want  float64
		tol   float64
	}{
		{drift.ZoneRules(), "exact", 91.75, 0.01}, {drift.LimitRule(), "exact", 370.40, 0.01}, {drift.NelsonRules(), "simulated", 60, 15},
	} {
		f := mustDrift(t, DriftRequest{Series: book.Series{Series: steady}, Design: drift.Design{Basis: drift.Basis{Rules: c.rules}}}).FalseAlarms[0]
		if f.How != c.how || math.Abs(casetest.Value(f.PointsPerAlarm)-c.want) > c.tol {
			t.Errorf("%s: every %.2f points, want %s: %.2f", f.How, casetest.Value(f.PointsPerAlarm), c.how, c.want)
		}
		if want := 92 / casetest.Value(f.PointsPerAlarm); math.Abs(casetest.Value(f.Expected)-want) > 1e-9 {
			t.Errorf("expected %g, want %g", casetest.Value(f.Expected), want)
		}
	}
}

func TestDrift_Refuses(t *testing.T) {
	plain := drift.Series{Points: []drift.Point{{Value: 1}, {Value: 3}, {Value: 2}}}
	equal := drift.Series{Points: []drift.Point{{Value: 1}, {Value: 1}, {Value: 1}}}
	for _, c := range []struct {
		name string
		r    DriftRequest
		want error
	}{
		{"no value", DriftRequest{}, drift.ErrTooFew},
		{"one value", DriftRequest{Series: book.Series{Series: drift.Series{Points: plain.Points[:1]}}}, drift.ErrTooFew},
		{"no groups", DriftRequest{Series: book.Series{Series: plain}, Design: drift.Design{Kind: drift.KindMeans}}, drift.ErrNoGroups},
		{"no out_of", DriftRequest{Series: book.Series{Series: plain}, Design: drift.Design{Kind: drift.KindProportion}}, drift.ErrNoOutOf},
		{"no tag", DriftRequest{Series: book.Series{Series: plain}, By: "wire"}, drift.ErrNoTag},
		{"sums of equal values", DriftRequest{Series: book.Series{Series: equal}, Design: drift.Design{CUSUM: &drift.CusumDesign{K: 0.5, H: 5}}}, drift.ErrNoScatter},
		{"capability of counts", DriftRequest{Series: book.Series{Series: plain}, Design: drift.Design{Kind: drift.KindCount}, Spec: drift.Spec{Upper: num.Some(5)}}, drift.ErrOfCounts},
		{"capability of equal values", DriftRequest{Series: book.Series{Series: equal}, Spec: drift.Spec{Upper: num.Some(5)}}, drift.ErrNoScatter},
	} {
		if _, err := Drift(context.Background(), c.r); !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", c.name, err, c.want)
		}
	}
	cut, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Drift(cut, DriftRequest{Series: book.Series{Series: plain}}); !errors.Is(err, context.Canceled) {
		t.Errorf("cancelled: %v", err)
	}
}

// Neighbours that resemble each other are warned of; a step alone is not taken
// for that.
func TestDrift_Neighbours(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 9))
	walk, v := drift.Series{}, 0.0
	for range 80 {
		v = 0.8*v + r.NormFloat64()
		walk.Points = append(walk.Points, drift.Point{Value: v})
	}
	if a := mustDrift(t, DriftRequest{Series: book.Series{Series: walk}}); !a.Neighbours.Known() || casetest.Value(a.Neighbours) < 0.3 || len(a.Warnings) == 0 {
		t.Errorf("a wandering series: %d steps, correlation %g, warnings %q", len(a.Shifts), casetest.Value(a.Neighbours), a.Warnings)
	}
	if a := mustDrift(t, DriftRequest{Series: book.Series{Series: zones()}}); !a.Neighbours.Known() || casetest.Value(a.Neighbours) > 0.25 {
		t.Errorf("a step: correlation %v, want little", casetest.Value(a.Neighbours))
	}
}

func BenchmarkDrift_100k(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	s := drift.Series{}
	for i := range 100_000 {
		v := r.NormFloat64()
		if i > 60_000 {
			v += 0.3
		}
		s.Points = append(s.Points, drift.Point{Value: v})
	}
	for b.Loop() {
		if _, err := Drift(context.Background(), DriftRequest{Series: book.Series{Series: s}, Design: drift.Design{EWMA: &drift.EWMADesign{Lambda: 0.2, Width: 3}, CUSUM: &drift.CusumDesign{K: 0.5, H: 5}}}); err != nil {
			b.Fatal(err)
		}
	}
}
