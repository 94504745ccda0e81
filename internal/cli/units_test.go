package cli

import (
	"encoding/json"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// No listing in inches has a millimetre left in it, nor a micrometre, and each is as
// long as it is in mm but for broken lines: nothing is dropped.
func TestUnits_NoMillimetreLeft(t *testing.T) {
	besideExamples(t)
	listing(t, false, "book demo --necks 12")
	heardBesideExamples(t)
	metric := regexp.MustCompile(`(?i)\bmm\d?\b|\bum\b|µm|millimet`)
	inch := regexp.MustCompile(`\b(in|thou)\b`)
	calls := []string{"play heron.toml --tune", "play heron.toml --study zone=0.01..0.03 --necks 200", "glue heron.toml", "plan heron-slant.toml", "plan heron-bass.toml",
		"frets heron-seven.toml heron-seven-seated.csv", "frets heron-slant.toml heron-slant-seated.csv", "book show 1003", "frets heron.toml --what-to-read", "board heron.toml heron-board.csv",
		"drift --of fret --fret 7 --stage seated"}
	for _, c := range shortListings() {
		calls = append(calls, c.call)
	}
	for _, call := range calls {
		for _, all := range []string{"", "--all"} {
			if all != "" && (strings.HasPrefix(call, "book show") || strings.Contains(call, "--what-to-read") || strings.Contains(call, "--study") || strings.Contains(call, "--tune")) {
				continue
			}
			got := listing(t, false, call+" --units in "+all)
			for _, line := range strings.Split(got, "\n") {
				if metric.MatchString(line) && !strings.Contains(line, "--at-most") {
					t.Errorf("%s %s: %s", call, all, line)
				}
			}
			if !inch.MatchString(got) && !strings.Contains(call, "heron-levelled") && !strings.HasPrefix(call, "book show") {
				t.Errorf("%s %s has no inches:\n%s", call, all, got)
			}
		}
	}
}

// The zones of a listing in inches are those of the JSON, which is in mm.
func TestUnits_SameZones(t *testing.T) {
	besideExamples(t)
	const call = "frets heron.toml heron-seated.csv"
	var a struct {
		Lanes []struct {
			Lane float64
			Zone float64 `json:"zone_mm"`
		}
	}
	if err := json.Unmarshal([]byte(listing(t, false, call+" --json --units in")), &a); err != nil {
		t.Fatal(err)
	}
	rows := regexp.MustCompile(`(?m)^ +(\d) +(\d+\.\d+) +\d+\.\d+ .* level$`).FindAllStringSubmatch(listing(t, false, call+" --all --units in"), -1)
	if len(rows) != len(a.Lanes) || len(rows) == 0 {
		t.Fatalf("%d rows of %d lanes", len(rows), len(a.Lanes))
	}
	for _, r := range rows {
		lane, _ := strconv.Atoi(r[1])
		thou, err := strconv.ParseFloat(r[2], 64)
		if err != nil || math.Abs(thou*0.0254-a.Lanes[lane-1].Zone) > 0.00051+0.05*0.0254 {
			t.Errorf("lane %d: %s thou, %g mm", lane, r[2], a.Lanes[lane-1].Zone)
		}
	}
}
