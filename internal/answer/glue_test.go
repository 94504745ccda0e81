package answer

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"ringtrue/internal/casetest"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/glue"
)

func pushes(t testing.TB, minutes ...float64) []glue.Push {
	t.Helper()
	var all []glue.Push
	for i, m := range minutes {
		all = append(all, glue.Push{Minutes: m, ForceN: 300/(1+3/m) + float64(i%3-1), Line: i + 2})
	}
	return all
}

// TestWait_heron: the figures of the neck file's slot, with a test and without.
func TestWait_heron(t *testing.T) {
	m, _ := exampleNeck(t)
	r := WaitRequest{Model: m, Kind: glue.Thin, TempC: 25, HumidityPct: 50}
	a, err := Wait(t.Context(), r)
	if err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "beside", a.Gaps[0].MM, 0.03, 1e-9)
	casetest.Near(t, "under", a.Gaps[1].MM, 0.30, 1e-9)
	casetest.Near(t, "published", casetest.Value(a.Gaps[0].PublishedS), 16, 0.5)
	if a.WaitH != 24 || a.Better != glue.Thick || a.Test != nil || a.Gaps[1].Bridged || len(a.Do) != 2 || len(a.Order) != 9 {
		t.Errorf("%+v", a)
	}
	if !strings.Contains(a.Gaps[1].Words, "stays wet or empty") {
		t.Error(a.Gaps[1].Words)
	}
	r.Test = pushes(t, glue.FormMinutes()...)
	if a, err = Wait(t.Context(), r); err != nil {
		t.Fatal(err)
	}
	casetest.Near(t, "90 %", casetest.Value(a.Test.WaitMin), 27, 2)
	casetest.Near(t, "wait", a.WaitH*60, a.Test.Range.High, 1e-9)
	if a.Why != glue.OwnTest || len(a.Test.Curve) != 10 || math.Abs(a.Test.Curve[0]-a.Test.Pushed[0].ForceN) > 3 {
		t.Errorf("%+v", a.Test)
	}
	if _, err := json.Marshal(a); err != nil {
		t.Fatal(err)
	}
}

// A test without a plateau has no wait and no number that JSON lacks; the wait
// stays what it is without.
func TestWait_noPlateau(t *testing.T) {
	m, _ := exampleNeck(t)
	a, err := Wait(t.Context(), WaitRequest{Model: m, Kind: glue.Thin, TempC: 21, HumidityPct: 45, Test: pushes(t, 0.25, 0.5, 1, 1, 2, 2)})
	if err != nil {
		t.Fatal(err)
	}
	data, err := json.Marshal(a.Test)
	if err != nil || strings.Contains(string(data), "wait_min") || a.Test.Verdict != glue.NoPlateau || a.WaitH != 24 || len(a.Warnings) == 0 {
		t.Errorf("%s, %v", data, err)
	}
}

func TestWait_refuses(t *testing.T) {
	m, _ := exampleNeck(t)
	if _, err := Wait(t.Context(), WaitRequest{Model: m, Kind: glue.PVA, Activator: true, TempC: 21}); !errors.Is(err, glue.ErrActivator) {
		t.Errorf("%v", err)
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := Wait(ctx, WaitRequest{Model: m, Kind: glue.Thin, TempC: 21}); !errors.Is(err, context.Canceled) {
		t.Errorf("%v", err)
	}
	m.Board.Wood = "ebny"
	if _, err := Wait(t.Context(), WaitRequest{Model: m, Kind: glue.Thin, TempC: 21}); !fileerr.Is(err) {
		t.Errorf("%v", err)
	}
}
