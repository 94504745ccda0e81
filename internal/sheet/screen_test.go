package sheet

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"regexp"
	"strings"
	"testing"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/num"
	"ringtrue/internal/text"
)

// goldenScreens compares pictures for a screen, with their keys, a mark a line.
func goldenScreens(t *testing.T, name string, all ...*draw.Screen) {
	t.Helper()
	var b bytes.Buffer
	for _, s := range all {
		wellFormed(t, s.SVG())
		b.WriteString(strings.ReplaceAll(s.SVG(), "><", ">\n<") + "\n")
		for _, k := range s.Key {
			wellFormed(t, k.Sign.SVG())
			fmt.Fprintf(&b, "%s: %s\n", k.Words, k.Sign.SVG())
		}
	}
	goldenBytes(t, b, name)
}

func wellFormed(t *testing.T, svg string) {
	t.Helper()
	d := xml.NewDecoder(strings.NewReader(svg))
	for {
		if _, err := d.Token(); errors.Is(err, io.EOF) {
			return
		} else if err != nil {
			t.Fatalf("%v in %.300s", err, svg)
		}
	}
}

func screened(t *testing.T, controls []*control, units Units) (all []*draw.Screen) {
	t.Helper()
	for _, c := range controls {
		s, err := c.onScreen("A few <words>.", units).screen()
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, s)
	}
	return all
}

func TestScreen_Golden(t *testing.T) {
	goldenScreens(t, "screen_drift.txt", screened(t, controlsOf(45), Micrometres)...)
	goldenScreens(t, "screen_drift_in.txt", screened(t, controlsOf(45)[:1], Thousandths)...)
	goldenScreens(t, "screen_drift_many.txt", screened(t, controlsOf(500)[:1], Micrometres)...)
	pattern, err := PatternScreen(patternSample(22), Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	goldenScreens(t, "screen_pattern.txt", pattern)
	s := judged(studies()["crossed"])
	study, err := GaugeScreen(s.study, s.GaugeAnswer, Micrometres)
	if err != nil || len(study) != 3 {
		t.Fatal(len(study), err)
	}
	goldenScreens(t, "screen_gauge.txt", study...)
}

// Each kind of study has its charts.
func TestScreen_EveryStudy(t *testing.T) {
	for name, study := range studies() {
		s := judged(study)
		all, err := GaugeScreen(study, s.GaugeAnswer, Thousandths)
		if err != nil || len(all) < 2 {
			t.Errorf("%s: %d charts, %v", name, len(all), err)
		}
	}
}

// A short row is a mark each, joined; a long one dots in a band, not joined, and no
// picture grows without bound; what moves together stays a line.
func TestScreen_LongRows(t *testing.T) {
	has := func(s *draw.Screen, class string) bool { return strings.Contains(s.SVG(), `class="`+class+`"`) }
	few := screened(t, controlsOf(maxScreenMarks), Micrometres)
	if !has(few[0], "line s1") || !has(few[0], "dots s1") || has(few[0], "ribbon") {
		t.Error("a short row: no marks or no line, or a band")
	}
	many := screened(t, controlsOf(500), Micrometres)
	if has(many[0], "line s1") || !has(many[0], "dots s1 many") || !has(many[0], "ribbon") || !has(many[0], "median") {
		t.Error("a long row: no dots or no band, or a hedge")
	}
	if dots := strings.Count(many[0].SVG(), "h0"); dots != 500 {
		t.Errorf("%d dots of 500", dots)
	}
	if !has(many[1], "line s1") || has(many[1], "ribbon") || !has(many[2], "line s2") {
		t.Error("averages and sums: no line")
	}
	size := 0
	for _, s := range screened(t, controlsOf(100_000), Micrometres) {
		size += len(s.SVG())
	}
	if size > 60_000 {
		t.Errorf("%d bytes for a hundred thousand values", size)
	}
}

// All that is drawn lies in the picture, and the same chart is the same bytes.
func TestScreen_InsideAndSteady(t *testing.T) {
	share := regexp.MustCompile(`(?:x|y|cx|cy)="(-?[0-9.]+)%"`)
	place := regexp.MustCompile(`[MLHV](-?[0-9.]+)`)
	n := 0
	for _, s := range screened(t, controlsOf(300), Micrometres) {
		for _, m := range share.FindAllStringSubmatch(s.SVG(), -1) {
			if v := atof(t, m[1]); v < 0 || v > 100 {
				t.Errorf("%s of the picture", m[0])
			}
			n++
		}
		_, stretched, _ := strings.Cut(s.SVG(), `preserveAspectRatio="none">`)
		stretched, _, _ = strings.Cut(stretched, "</svg>")
		for _, m := range place.FindAllStringSubmatch(stretched, -1) {
			if v := atof(t, m[1]); v < 0 || v > 1000 {
				t.Errorf("%s of 1000", m[0])
			}
			n++
		}
	}
	if n < 1000 {
		t.Fatalf("only %d places: the search is broken", n)
	}
	once, again := screened(t, controlsOf(80), Micrometres), screened(t, controlsOf(80), Micrometres)
	for i := range once {
		if once[i].SVG() != again[i].SVG() {
			t.Error("the same chart, other bytes")
		}
	}
}

func atof(t *testing.T, s string) (v float64) {
	t.Helper()
	if _, err := fmt.Sscan(s, &v); err != nil {
		t.Fatal(s, err)
	}
	return v
}

// What is not known leaves a gap in the band; a chart of nothing says so.
func TestScreen_Gaps(t *testing.T) {
	row := make([]float64, 200)
	for i := range row {
		row[i] = float64(i % 7)
		if i >= 80 && i < 120 {
			row[i] = math.NaN()
		}
	}
	c := newControl("Each value", "value", 1, len(row), 3, 1)
	c.points(row, "", nil)
	s, err := c.onScreen("", Micrometres).screen()
	if err != nil {
		t.Fatal(err)
	}
	if bands := regexp.MustCompile(`class="ribbon" d="([^"]*)"`).FindStringSubmatch(s.SVG()); bands == nil || strings.Count(bands[1], "z") != 2 || strings.Contains(bands[1], "NaN") {
		t.Errorf("bands: %v", bands)
	}
	if _, err := (onScreen{}).screen(); !errors.Is(err, ErrEmpty) {
		t.Error(err)
	}
	if _, err := (onScreen{chart: chart{Curves: []curve{{X: []float64{1}}}}}).screen(); err == nil {
		t.Error("an x without a y was drawn")
	}
}

// A neck's records, where some have no zone; none that has one is nothing to draw.
func TestScreen_History(t *testing.T) {
	var a answer.BookShowAnswer
	for i, zone := range []float64{0.099, math.NaN(), 0.023} {
		r := answer.BookRecord{Record: int64(i + 5), Stage: "seated"}
		if !math.IsNaN(zone) {
			r.ZoneMM, r.WorstMM = num.Some(zone), num.Some(-0.6*zone)
		}
		a.Records = append(a.Records, r)
	}
	s, err := HistoryScreen(&a, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	svg := s.SVG()
	if strings.Count(svg, "h0") != 2 || !strings.Contains(svg, ">5 seated<") || !strings.Contains(svg, text.RecordsChart(3)) || len(s.Key) != 2 {
		t.Error(svg)
	}
	if _, err := HistoryScreen(&answer.BookShowAnswer{Records: make([]answer.BookRecord, 2)}, Micrometres); !errors.Is(err, ErrEmpty) {
		t.Error(err)
	}
}

// A study's crowns are named by fret and lane, other parts as they are.
func TestCrownPart(t *testing.T) {
	for part, want := range map[string]string{"fret 16 lane 2": "16/2", "fret 7 lane 3.5": "7/3.5", "fret 7": "", "block": ""} {
		if got, is := crownPart(part); got != want || is != (want != "") {
			t.Errorf("%s: %q, %v", part, got, is)
		}
	}
}

// On a phone a note makes way for what a line is called: under its point, or, where
// that is taken too, for a wide screen only, where names stand outside.
func TestScreen_NotesClearOfNames(t *testing.T) {
	for _, c := range []struct {
		limits []float64
		want   string
	}{
		{[]float64{0}, `"note"`},
		{[]float64{0.9}, `"note close" "note roomy"`},
		{[]float64{0.9, 1.0, 0.8}, `"note roomy"`},
	} {
		out := onScreen{chart: chart{X: axis{Label: "neck"}, Y: axis{Label: "mm", Min: 0, Max: 1.2},
			Curves: []curve{{X: []float64{1, 9, 10}, Y: []float64{0.1, 0.9, 1.1}, Mark: disc}}, Notes: []note{{X: 9, Y: 0.9, Text: "M0054"}}}}
		for _, y := range c.limits {
			out.Rules = append(out.Rules, rule{At: y, Label: fmt.Sprintf("upper %.3f", y)})
		}
		s, err := out.screen()
		if err != nil {
			t.Fatal(err)
		}
		if got := strings.Join(regexp.MustCompile(`"note[^"]*"`).FindAllString(s.SVG(), -1), " "); got != c.want {
			t.Errorf("limits %v: %s, want %s", c.limits, got, c.want)
		}
	}
}
