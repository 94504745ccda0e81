package bench

import (
	"encoding/xml"
	"fmt"
	"os"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"ringtrue/internal/draw"
)

// crownsDrawn counts what a strip draws: dots and bars by the length of their dashed
// runs, what is off by its forms.
func crownsDrawn(t *testing.T, s strip) map[string]int {
	t.Helper()
	n := map[string]int{}
	for _, p := range s.Paths {
		switch p.Kind {
		case "unread", "read":
			for _, m := range regexp.MustCompile(`h([\d.]+)`).FindAllStringSubmatch(p.D, -1) {
				long, err := strconv.ParseFloat(m[1], 64)
				if err != nil {
					t.Fatal(p.D)
				}
				n[p.Kind] += 1 + int(long/stripStep)
			}
		default:
			n[p.Kind] += strings.Count(p.D, "M")
		}
	}
	return n
}

// Every crown of every size of neck has its mark, and one that is off its form over
// the dot.
func TestStrip_EveryCrown(t *testing.T) {
	l, err := newRenderer(false)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ lanes, frets int }{{1, 1}, {4, 20}, {6, 22}, {12, 36}} {
		var lanes []float64
		for i := range c.lanes {
			lanes = append(lanes, float64(c.lanes-i))
		}
		want := map[string]int{}
		of := func(k crownKey) mark { return mark((k.fret*7 + int(k.lane)*3) % int(marks)) }
		for f := 1; f <= c.frets; f++ {
			for _, lane := range lanes {
				switch m := of(crownKey{f, lane}); m {
				case markUnread:
					want["unread"]++
				default:
					want["read"]++
					if m > markRead {
						want[[]string{"high", "low", "again"}[m-markHigh]]++
					}
				}
			}
		}
		s := l.stripOf(lanes, 1, c.frets, of)
		got := crownsDrawn(t, s)
		if fmt.Sprint(got) != fmt.Sprint(want) {
			t.Errorf("%d lanes, %d frets: %v, want %v", c.lanes, c.frets, got, want)
		}
		words := fmt.Sprintf("%d of %d crowns read; high: %d, low: %d, to read again: %d", want["read"], c.lanes*c.frets, want["high"], want["low"], want["again"])
		if s.Label != words {
			t.Errorf("%q, want %q", s.Label, words)
		}
	}
}

// The bass side is at the top, the nut left: fret 1 of lane 6 is drawn first.
func TestStrip_BassAtTheTop(t *testing.T) {
	l, err := newRenderer(false)
	if err != nil {
		t.Fatal(err)
	}
	one := func(at crownKey) string {
		s := l.stripOf([]float64{3, 2, 1}, 1, 9, func(k crownKey) mark {
			if k == at {
				return markHigh
			}
			return markUnread
		})
		for _, p := range s.Paths {
			if p.Kind == "high" {
				return p.D
			}
		}
		return ""
	}
	bass, treble, far := one(crownKey{1, 3}), one(crownKey{1, 1}), one(crownKey{9, 3})
	var x, y, ty, fx int
	for _, f := range []struct {
		d    string
		x, y *int
	}{{bass, &x, &y}, {treble, new(int), &ty}, {far, &fx, new(int)}} {
		if n, err := fmt.Sscanf(f.d, "M%d %dh", f.x, f.y); n != 2 {
			t.Fatal(f.d, err)
		}
	}
	if y >= ty || x >= fx {
		t.Errorf("bass at %d,%d, treble at y %d, fret 9 at x %d", x, y, ty, fx)
	}
}

// A strip takes about 1.5 kB at most, also where every second crown is off, and is
// whole.
func TestStrip_Small(t *testing.T) {
	b := newTry(t, nil)
	odd := b.renderer.stripOf([]float64{6, 5, 4, 3, 2, 1}, 1, 22, func(k crownKey) mark { return markRead + mark(k.fret%2)*(1+mark(int(k.lane)%2)) })
	path := b.readNeck()
	b.judgedNow()
	for name, s := range map[string]strip{"every second": odd, "the example": b.judged.of(idOf(path)).strip} {
		text, err := b.part("home", "strip", s)
		if err != nil {
			t.Fatal(err)
		}
		if len(text) > 1500 || len(s.Paths) < 3 {
			t.Errorf("%s: %d bytes, %d paths", name, len(text), len(s.Paths))
		}
		if err := xml.Unmarshal([]byte(text), new(struct{})); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// The marks have colours of the published scale, and stand out on their ground.
func TestStrip_ColoursOfTheScale(t *testing.T) {
	data, err := os.ReadFile("static/bench.css")
	if err != nil {
		t.Fatal(err)
	}
	css := string(data)
	of := regexp.MustCompile(`--(high|low|wood): (#[0-9a-f]{6})`).FindAllStringSubmatch(css, -1)
	var high, low, wood []string
	for _, m := range of {
		switch m[1] {
		case "high":
			high = append(high, m[2])
		case "low":
			low = append(low, m[2])
		default:
			wood = append(wood, m[2])
		}
	}
	if len(high) != 2 || len(low) != 2 || len(wood) < 2 {
		t.Fatalf("colours: %v %v %v", high, low, wood)
	}
	for i, at := range []float64{0.75, 0.25} { // light, dark
		if want := hexOf(draw.Diverging(at)); high[i] != want {
			t.Errorf("high is %s, the scale has %s", high[i], want)
		}
		if want := hexOf(draw.Diverging(-at)); low[i] != want {
			t.Errorf("low is %s, the scale has %s", low[i], want)
		}
		for _, c := range []string{high[i], low[i]} {
			if r := draw.Contrast(colourOf(t, c), colourOf(t, wood[i])); r < 3 {
				t.Errorf("%s on %s: %.1f to 1", c, wood[i], r)
			}
		}
	}
}

func colourOf(t *testing.T, hex string) draw.Colour {
	t.Helper()
	n, err := strconv.ParseUint(hex[1:], 16, 32)
	if err != nil {
		t.Fatal(err)
	}
	return draw.RGB(uint8(n>>16), uint8(n>>8), uint8(n))
}

// The strip over a page says what the page says, also on the first visit, when the
// readings have yet to be worked out.
func TestStrip_WaitsForThePage(t *testing.T) {
	of := regexp.MustCompile(`(?s)<a class="overview.*?</a>`)
	for _, page := range []string{"/plan", "/pass"} {
		b := newTry(t, nil)
		b.times.Answer = time.Minute
		path := b.readNeck()
		first := of.FindString(b.sees(path + page))
		b.judgedNow()
		if again := of.FindString(b.sees(path + page)); first != again || !strings.Contains(first, `class="again"`) {
			t.Errorf("%s: first %s\nthen %s", page, first, again)
		}
	}
}
