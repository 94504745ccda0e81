package sheet

import (
	"bytes"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/answer"
	"ringtrue/internal/draw"
	"ringtrue/internal/glue"
	"ringtrue/internal/text"
)

// gather puts pages of one picture together.
func gather(t *testing.T) func(pages []*draw.Page, err error) []*draw.Page {
	return func(pages []*draw.Page, err error) []*draw.Page {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return pages
	}
}

// inInches draws every picture for an inch shop.
func inInches(t *testing.T) map[string][]*draw.Page {
	t.Helper()
	const u = Thousandths
	all := gather(t)
	one := func(p *draw.Page, err error) []*draw.Page { return all([]*draw.Page{p}, err) }
	l := testNeck(t, 6, 22, 0)
	board, _ := planned(t)
	crowns := []answer.PlanCrown{{Fret: 7, Lane: 1, RemoveMM: 0.051}}
	none := func(answer.PlanCrown) bool { return false }
	film, err := Film(pluckSample(true), u)
	if err != nil {
		t.Fatal(err)
	}
	blank := blankHeron()
	blank.Unit = "in"
	pictures := map[string][]*draw.Page{
		"frets":       one(Frets(heron(l), l, A4, u)),
		"frets phone": one(Frets(heron(l), l, Phone, u)),
		"wear":        one(Compare(serviced(l), l, A4, u)),
		"card":        all(Card("Heron 22", "not level", []string{"4 crowns, 0.071 mm at most."}, nil, nil, []string{"Filings."}, crowns, none, A4, u)),
		"moves":       all(MovesCard("Heron 22", "not level", []string{text.MovesFlats(true)}, nil, nil, []string{text.FilingCare}, someMoves(6, 1), 2.3, A4, u)),
		"blank":       all(Blank(blank, A4)),
		"glue":        one(GlueForm(glue.Form{Neck: "Heron 22", BesideMM: 0.03, FloorMM: 0.3, Minutes: glue.FormMinutes()}, A4, u)),
		"drift":       one(someControls(45, u)),
		"pattern":     one(Pattern(patternSample(22), u)),
		"play worst":  one(Play(playSample(true), u)),
		"study":       one(Study(studySample(6, 0.01, 0.03, 0.06), u)),
		"tune":        one(Tune(tuneSample(), u)),
		"wood":        one(Wood(woodSample(t), u)),
		"strip":       one(Strip(pluckSample(true), u)),
		"film":        {film.Page},
		"slots":       one(Slots(board.WorkPlan, u)),
		"tiles":       all(SlotTiles(board.WorkPlan, A4, u)),
	}
	for name, study := range studies() {
		pictures["gauge "+name] = one(judged(study).page("One reading is worth 0.004 mm.", u))
	}
	return pictures
}

// metric finds a length that is not in inches.
func metric() *regexp.Regexp {
	return regexp.MustCompile(`(?i)(^|[^\p{L}])(mm[³3²]?|µm|um)([^\p{L}]|$)|micromet|millimet`)
}

// No picture of an inch shop has a word in mm or µm, its title and description
// included; and nothing lies on anything else.
func TestInches_NoMixture(t *testing.T) {
	spoken := regexp.MustCompile(`>([^<]+)<`)
	for name, pages := range inInches(t) {
		for _, p := range pages {
			var b bytes.Buffer
			if err := p.WriteSVG(&b); err != nil {
				t.Fatal(err)
			}
			words := spoken.FindAllStringSubmatch(b.String(), -1)
			if len(words) < 5 {
				t.Errorf("%s: %d words", name, len(words))
			}
			for _, m := range words {
				if metric().MatchString(m[1]) {
					t.Errorf("%s: %q", name, m[1])
				}
			}
			clean(t, p, 0.9)
		}
	}
}

// Numbers are those in mm over 25.4, and stand where those in mm stand.
func TestInches_Numbers(t *testing.T) {
	pictures := inInches(t)
	for name, want := range map[string][]string{
		"drift":      {"centre 0.89", "lower 0.47", "upper 1.30", "zone, thou"},                                         // 0.0225, 0.012, 0.033 mm
		"study":      {"within the neck's limit, 1.2 thou", "zone, thou", "in"},                                         // 0.03 mm
		"wood":       {"Through a year, 2.224 in wide now", "change in width, thou"},                                    // 56.5 mm
		"wear":       {"relief +3.1 ± 0.1 thou"},                                                                        // 0.080 ± 0.002 mm
		"moves":      {"Printed at full size, this bar is 2 in", "numbered in thou", "8", "40"},                         // of 2 thou a step
		"play worst": {"from the nut, in", "16 thou not shown), thou", "thousandths of an inch left", "B −1.2", "11.8"}, // −0.031, 0.3 mm
		"slots":      {"4 in", "1.414", "12.598"},                                                                       // a scale of 640 mm: 35.921 and 320 mm
		"frets":      {"scale 25.20 in"},
	} {
		said := strings.Join(textsOf(pictures[name][0]), "|")
		for _, w := range want {
			if !strings.Contains(said, w) {
				t.Errorf("%s does not say %q: %s", name, w, said)
			}
		}
	}
	if out := lengthFor("frets", 3, Thousandths); out.name != "frets" || out.per != 1 {
		t.Errorf("frets became %+v", out)
	}
}

// Ticks of an axis in inches are round there, and stand at their values in mm.
func TestAxis_RoundInInches(t *testing.T) {
	rapid.Check(t, func(r *rapid.T) {
		lo := rapid.Float64Range(-3, 3).Draw(r, "lo")
		hi := lo + rapid.Float64Range(0.001, 600).Draw(r, "wide")
		unitName := rapid.SampledFrom([]string{"mm", "µm", "in"}).Draw(r, "unit")
		a := axis{Label: "gap, " + unitName}.in(Thousandths, func(bool) (float64, float64) { return lo, hi }, true)
		perMM := map[string]float64{"mm": 1, "µm": 1000, "in": 1 / 25.4}[unitName]
		inMM := map[string]float64{"gap, in": 25.4, "gap, thou": 0.0254}[a.Label]
		if inMM == 0 || (math.Max(math.Abs(lo), math.Abs(hi))/perMM < 1) != (a.Label == "gap, thou") {
			r.Fatalf("%g to %g %s on an axis of %q", lo, hi, unitName, a.Label)
		}
		s := a.rounded(lo, hi, 8)
		if len(s.ticks) < 2 {
			r.Fatalf("%d ticks", len(s.ticks))
		}
		for i, k := range s.ticks {
			says, err := strconv.ParseFloat(strings.Replace(k.Label, "−", "-", 1), 64)
			if err != nil || math.Abs(says*inMM*perMM-k.At) > 1e-6*(1+math.Abs(hi)) {
				r.Fatalf("tick %q at %g %s: %v", k.Label, k.At, unitName, err)
			}
			if i > 0 {
				step := (k.At - s.ticks[i-1].At) / perMM / inMM
				lead := step / math.Pow(10, math.Floor(math.Log10(step)+1e-6))
				if !slices.ContainsFunc([]float64{1, 2, 5}, func(v float64) bool { return math.Abs(lead-v) < 1e-3 }) {
					r.Fatalf("ticks %g apart", step)
				}
			}
		}
	})
}

func TestInches_Golden(t *testing.T) {
	pictures := inInches(t)
	for file, name := range map[string]string{"moves_in.svg": "moves", "play_in.svg": "play worst", "drift_in.svg": "drift"} {
		golden(t, pictures[name][0], file)
	}
}

// The bars that check a print are as long as they say.
func TestInches_BarsTrue(t *testing.T) {
	pictures := inInches(t)
	for name, c := range map[string]struct {
		says string
		mm   float64
	}{"slots": {"4 in", 101.6}, "moves": {"this bar is 2 in", 50.8}} {
		p := pictures[name][0]
		var b bytes.Buffer
		if err := p.WriteSVG(&b); err != nil {
			t.Fatal(err)
		}
		found := false
		for _, m := range regexp.MustCompile(`<path d="M([\d.]+) [\d.]+H([\d.]+)"`).FindAllStringSubmatch(b.String(), -1) {
			from, _ := strconv.ParseFloat(m[1], 64) // they matched as numbers
			to, _ := strconv.ParseFloat(m[2], 64)
			found = found || math.Abs(to-from-c.mm) < 0.011
		}
		if !found || !strings.Contains(b.String(), c.says) {
			t.Errorf("%s: no bar of %g mm", name, c.mm)
		}
	}
}
