package answer

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/board"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
)

// boardOf judges the bare board of the examples, its readings changed.
func boardOf(t *testing.T, change func(r []reading.Reading) []reading.Reading) *BoardAnswer {
	t.Helper()
	m, l, readings := boardExample(t)
	a, err := Board(m, l, change(readings))
	if err != nil {
		t.Fatal(err)
	}
	return a
}

func boardExample(t *testing.T) (neck.Model, *geometry.Layout, []reading.Reading) {
	t.Helper()
	dir := filepath.Join("..", "..", "examples")
	data, err := os.ReadFile(filepath.Join(dir, "heron.toml"))
	if err != nil {
		t.Fatal(err)
	}
	m, err := neck.Parse("heron.toml", data)
	if err != nil {
		t.Fatal(err)
	}
	l, err := geometry.New(m)
	if err != nil {
		t.Fatal(err)
	}
	if data, err = os.ReadFile(filepath.Join(dir, "heron-board.csv")); err != nil {
		t.Fatal(err)
	}
	set, err := reading.Parse("heron-board.csv", bytes.NewReader(data), reading.Bounds{FirstFret: 1, LastFret: 22, Strings: 6})
	if err != nil {
		t.Fatal(err)
	}
	return m, l, set.Readings
}

func asRead(r []reading.Reading) []reading.Reading { return r }

// TestBoard_JSON: the fields of the contract are there, with their words.
func TestBoard_JSON(t *testing.T) {
	data, err := json.Marshal(boardOf(t, asRead))
	if err != nil {
		t.Fatal(err)
	}
	var a struct {
		Neck, Verdict string
		Lanes         []struct {
			Lane    float64
			Zone    float64 `json:"zone_mm"`
			Verdict string
		}
		Arches []struct {
			Fret    int
			Radius  *float64 `json:"radius_mm"`
			U       *float64 `json:"u_mm"`
			Wanted  *float64 `json:"wanted_mm"`
			Verdict string
		}
		Findings []struct {
			Kind  string
			Frets []int
			Lanes []float64
			Depth float64 `json:"depth_mm"`
		} `json:"neck_findings"`
		Recheck []struct {
			Fret, Line int
			Method     string
		}
	}
	if err := json.Unmarshal(data, &a); err != nil {
		t.Fatal(err)
	}
	if a.Neck != "Heron 22" || a.Verdict != "not ready" || len(a.Lanes) != 3 || len(a.Arches) != 6 {
		t.Fatalf("%s", data)
	}
	if l := a.Lanes[0]; l.Lane != 1 || math.Abs(l.Zone-0.091) > 0.002 || l.Verdict != "not straight" || a.Lanes[2].Verdict != "straight" {
		t.Errorf("lanes %+v", a.Lanes)
	}
	if r := a.Arches[0]; r.Fret != 1 || math.Abs(*r.Radius-308.97) > 0.01 || math.Abs(*r.U-0.95) > 0.01 || math.Abs(*r.Wanted-307.8) > 0.01 || r.Verdict != "round" {
		t.Errorf("arch %+v", r)
	}
	if len(a.Findings) != 1 || a.Findings[0].Kind != "dip" || !slices.Equal(a.Findings[0].Frets, []int{9, 10, 11}) || math.Abs(a.Findings[0].Depth-0.08) > 0.01 {
		t.Errorf("findings %+v", a.Findings)
	}
	if len(a.Recheck) != 1 || a.Recheck[0].Fret != 17 || a.Recheck[0].Method != "arch" || a.Recheck[0].Line != 74 {
		t.Errorf("recheck %+v", a.Recheck)
	}
	for _, field := range []string{"recheck", "undetermined", "next_readings", "advice", "sanding", "unread", "passes", "neck_findings"} {
		if !strings.Contains(string(data), `"`+field+`":`) {
			t.Errorf("no field %s", field)
		}
	}
}

// TestBoard_Sand: the list by slots holds what the lanes hold, for the lanes of
// the plan, and nothing that rounds to nothing.
func TestBoard_Sand(t *testing.T) {
	a := boardOf(t, asRead)
	rows := a.Sanding.Rows()
	if len(a.Sanding.Lanes) != 3 || len(rows) < 15 {
		t.Fatalf("%+v, %d rows", a.Sanding.Lanes, len(rows))
	}
	for _, r := range rows {
		for i, mm := range r.RemoveMM {
			at := slices.IndexFunc(a.Lanes[i].Sand, func(s board.Sand) bool { return s.Fret == r.Slot })
			if mm != 0 && (mm < 0.005 || at < 0 || a.Lanes[i].Sand[at].RemoveMM != mm || a.Lanes[i].Lane != a.Sanding.Lanes[i].Lane) {
				t.Errorf("slot %d, lane %g: %v", r.Slot, a.Lanes[i].Lane, mm)
			}
		}
	}
	if sound := boardOf(t, func(r []reading.Reading) []reading.Reading {
		return slices.DeleteFunc(r, func(k reading.Reading) bool { return k.Lane == 1 || k.Frets[0] == 17 })
	}); sound.Sanding != nil || sound.Verdict != "in doubt" || len(sound.Unread) != 1 {
		t.Errorf("without lane 1: %+v", sound)
	}
}
