package answer

import (
	"errors"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"ringtrue/internal/reading"
	"ringtrue/internal/readplan"
)

func whatToRead(t *testing.T, g reading.Method, uMM float64, shop readplan.Shop, level int) *WhatToReadAnswer {
	t.Helper()
	r := example(t, "heron.toml", "heron-seated.csv")
	a, err := WhatToRead(t.Context(), WhatToReadRequest{Model: r.Model, Layout: r.Layout, Gauge: g, UMM: uMM, Shop: shop, Level: level})
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestWhatToRead: the outer lanes come first; every crown is read, or told from its
// neighbours; a finer gauge needs no more; no neck is called what it is not.
func TestWhatToRead(t *testing.T) {
	coarse := whatToRead(t, reading.Beam, 0.006, readplan.UsualShop(), 12)
	fine := whatToRead(t, reading.Beam, 0.002, readplan.UsualShop(), 12)
	for _, a := range []*WhatToReadAnswer{coarse, fine} {
		if len(a.Warnings) > 0 {
			t.Errorf("%q", a.Warnings)
		}
		if a.AllReadings != 132 || len(a.Steps) < 2 || !slices.Equal(a.Steps[0].Sets[0].Lanes, []float64{1, 6}) || a.Steps[0].Readings != 44 {
			t.Errorf("%+v", a)
		}
		if n := a.Tried; n.Wrong > 0 || n.SaidNot > 0 || n.Level != 12 || n.SaidLevel+n.InDoubt != n.Level || n.ByPlan > n.SaidLevel {
			t.Errorf("%+v", n)
		}
		planned := 0
		for _, s := range a.Steps {
			planned += s.Readings
		}
		if a.Tried.SaidLevel > 0 && a.Readings < float64(planned) {
			t.Errorf("%g readings on average, and the plan alone has %d", a.Readings, planned)
		}
	}
	if fine.Tried.SaidLevel == 0 || fine.Tried.ByPlan <= coarse.Tried.ByPlan {
		t.Errorf("fine %+v, coarse %+v", fine.Tried, coarse.Tried)
	}
}

// TestWhatToRead_Bridge: three frets at a time see no long wave, so an edge is added.
func TestWhatToRead_Bridge(t *testing.T) {
	a := whatToRead(t, reading.Bridge, 0, readplan.UsualShop(), 1)
	if !slices.ContainsFunc(a.Steps, func(s ReadStep) bool { return s.Sets[0].Method == "edge" }) {
		t.Errorf("%+v", a.Steps)
	}
}

// TestWhatToRead_RoughShop: where the shop's frets make no level neck, the plan is
// tried on filed ones, and says so.
func TestWhatToRead_RoughShop(t *testing.T) {
	a := whatToRead(t, reading.Beam, 0.002, readplan.Shop{FretMM: 0.03, TiltMM: 0.02, Odd: 0.06}, 6)
	if len(a.Warnings) == 0 || a.Tried.SaidLevel == 0 {
		t.Errorf("%+v, %q", a.Tried, a.Warnings)
	}
}

func TestWhatToRead_SameOnAnyProcessors(t *testing.T) {
	many := whatToRead(t, reading.Beam, 0.003, readplan.UsualShop(), 2)
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	if one := whatToRead(t, reading.Beam, 0.003, readplan.UsualShop(), 2); !reflect.DeepEqual(one, many) {
		t.Errorf("%+v and %+v", one, many)
	}
}

func TestWhatToRead_Faults(t *testing.T) {
	if _, err := WhatToRead(t.Context(), WhatToReadRequest{Gauge: reading.Rocker}); !errors.Is(err, ErrGauge) {
		t.Error(err)
	}
}
