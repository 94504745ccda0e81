package sheet

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math"
	"os"
	"ringtrue/internal/answer"
	"ringtrue/internal/film"
	"strconv"
	"strings"
	"testing"
)

// pluckSample is an invented pluck: a half wave that sinks and rises over five
// crowns, with contacts or without.
func pluckSample(contact bool) *answer.PlayFilmAnswer {
	p := &answer.PlayFilmAnswer{Neck: "Heron 22", State: "as read", String: 3, Fret: 5, Pitch: "G3", Touch: "firm", Verdict: "clear", Release: "away",
		TriangleMM: 0.9, Recording: film.Recording{PluckMM: 370, LengthMM: 480, WindowMS: 100}}
	for i := range 5 {
		p.Crowns = append(p.Crowns, film.Crown{Fret: 6 + i, PlaceMM: 27 + 25*float64(i), HeightMM: -0.12 - 0.3*float64(i)})
	}
	for i := range 25 {
		p.PlaceMM = append(p.PlaceMM, 20*float64(i))
	}
	moment := func(ms float64, why string) film.Moment {
		m := film.Moment{TimeMS: ms, Why: why}
		for _, x := range p.PlaceMM {
			m.HeightMM = append(m.HeightMM, 0.9*math.Cos(2*math.Pi*ms/5)*math.Sin(math.Pi*x/480))
		}
		return m
	}
	for k := range 61 {
		p.Film = append(p.Film, moment(0.25*float64(k), ""))
	}
	p.Strip = []film.Moment{moment(0, "released"), moment(1.31, "lowest over fret 6, period 1"), moment(2.5, "lowest where plucked, period 1"), moment(5, "highest where plucked, period 2")}
	if contact {
		p.Verdict = "buzzes"
		p.Contacts = []film.Contact{
			{Number: 1, Fret: 6, FromMS: 1.31, ToMS: 1.4}, {Number: 2, Fret: 7, FromMS: 2.5, ToMS: 2.9}, {Number: 3, Fret: 6, FromMS: 6.31, ToMS: 6.35}, {Number: 4, Fret: 6, FromMS: 6.5, ToMS: 6.6}, {Number: 5, Fret: 6, FromMS: 60, ToMS: 61},
		}
		p.Strip[1].Why = "first contact, on fret 6"
		p.Strip[1].On = []film.Touch{{Fret: 6, ForceN: 0.52}}
		p.Strip[2].On = []film.Touch{{Fret: 7, ForceN: 1.3}}
	}
	return p
}

func TestStrip_Golden(t *testing.T) {
	for name, contact := range map[string]bool{"strip-buzzes.svg": true, "strip-clear.svg": false} {
		p, err := Strip(pluckSample(contact), Micrometres)
		if err != nil {
			t.Fatal(err)
		}
		clean(t, p, 1.13)
		golden(t, p, name)
	}
}

// filmSVG writes a film and keeps it beside the golden one.
func filmSVG(t *testing.T, p *answer.PlayFilmAnswer) []byte {
	t.Helper()
	f, err := Film(p, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, f.Page, 1.13)
	var b bytes.Buffer
	if err := f.WriteSVG(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestFilm_Golden(t *testing.T) {
	for name, contact := range map[string]bool{"film-buzzes.svg": true, "film-clear.svg": false} {
		got := filmSVG(t, pluckSample(contact))
		path := "testdata/" + name
		if *update {
			if err := os.WriteFile(path, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(got, want) {
			t.Errorf("the film differs from %s; run with -update and look at it", path)
		}
	}
}

// A film is well-formed, has no script, minds the wish for no motion, and every
// moving part keeps the same time.
func TestFilm_Form(t *testing.T) {
	data := filmSVG(t, pluckSample(true))
	d := xml.NewDecoder(bytes.NewReader(data))
	animated := map[string]int{}
	timing := ""
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			t.Fatal(err)
		}
		e, ok := tok.(xml.StartElement)
		if !ok {
			continue
		}
		if e.Name.Local == "script" {
			t.Error("the film has a script")
		}
		if !strings.HasPrefix(e.Name.Local, "animate") {
			continue
		}
		at, clock := map[string]string{}, ""
		for _, a := range e.Attr {
			at[a.Name.Local] = a.Value
		}
		for _, k := range []string{"begin", "end", "dur", "repeatCount", "fill"} {
			clock += at[k] + " "
		}
		if timing == "" {
			timing = clock
		}
		if clock != timing {
			t.Errorf("one part runs by %q, another by %q", timing, clock)
		}
		animated[at["attributeName"]]++
		times := strings.Split(at["keyTimes"], ";")
		last := -1.0
		for _, k := range times {
			if at["keyTimes"] == "" {
				break
			}
			v, err := strconv.ParseFloat(k, 64)
			if err != nil || v <= last || v > 1 {
				t.Errorf("key times %s", at["keyTimes"])
			}
			last = v
		}
		if at["keyTimes"] != "" && len(times) != len(strings.Split(at["values"], ";")) {
			t.Errorf("%s values for %s", at["values"], at["keyTimes"])
		}
	}
	if animated["points"] != 1 || animated["transform"] != 1 || animated["visibility"] != 4 {
		t.Errorf("animated: %v; the fifth contact comes after the film", animated)
	}
	if !bytes.Contains(data, []byte("prefers-reduced-motion:reduce")) {
		t.Error("nothing minds the wish for no motion")
	}
}

// The string stands in each frame where the moment has it, by the scale that
// the picture states.
func TestFilm_Positions(t *testing.T) {
	p := pluckSample(true)
	f, err := Film(p, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	data := string(filmSVG(t, p))
	_, values, found := strings.Cut(data, `values="`)
	values, _, _ = strings.Cut(values, `"`)
	frames := strings.Split(values, ";")
	if !found || len(frames) != len(p.Film) {
		t.Fatalf("%d frames of %d moments", len(frames), len(p.Film))
	}
	stretch := 0.0
	for _, b := range f.TextBoxes() {
		if _, err := fmt.Sscanf(b.Text, "heights are drawn %f times", &stretch); err == nil {
			break
		}
	}
	var x0, y0, perX float64 // of the stop's rest, and the scale along the string
	if n, err := fmt.Sscanf(strings.Fields(frames[0])[0], "%f,%f", &x0, &y0); n != 2 || err != nil {
		t.Fatal(err)
	}
	for i, frame := range frames {
		points := strings.Fields(frame)
		if len(points) != len(p.PlaceMM) {
			t.Fatalf("frame %d has %d points", i, len(points))
		}
		for j, point := range points {
			var x, y float64
			if _, err := fmt.Sscanf(point, "%f,%f", &x, &y); err != nil {
				t.Fatal(err)
			}
			if perX == 0 && j == len(points)-1 {
				perX = (x - x0) / p.LengthMM
			}
			if i == 0 {
				continue
			}
			height := (y0 - y) / (perX * stretch)
			place := (x - x0) / perX
			if math.Abs(place-p.PlaceMM[j]) > 0.02/perX || math.Abs(height-p.Film[i].HeightMM[j]) > 0.02/(perX*stretch)+0.01*math.Abs(height) {
				t.Fatalf("frame %d, place %g mm: drawn at %g mm, %g mm high, is %g", i, p.PlaceMM[j], place, height, p.Film[i].HeightMM[j])
			}
		}
	}
}

// A note without contact says so in words, in strip and film.
func TestPluck_NoContactSaysSo(t *testing.T) {
	p := pluckSample(false)
	strip, err := Strip(p, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	said := ""
	for _, b := range strip.TextBoxes() {
		said += b.Text + "\n"
	}
	if !strings.Contains(said, "clear\n") || !strings.Contains(said, ": it meets no fret within 100 ms") || strings.Contains(said, "contact") {
		t.Errorf("the strip says %s", said)
	}
	if film := string(filmSVG(t, p)); !strings.Contains(film, "it meets no fret within 100 ms") || !strings.Contains(film, ">no contact<") {
		t.Error("the film does not say so")
	}
}

// Contacts are told by ring, wedge and number, not by colour alone.
func TestPluck_ContactsWithoutColour(t *testing.T) {
	strip, err := Strip(pluckSample(true), Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	numbers := map[string]bool{}
	for _, b := range strip.TextBoxes() {
		numbers[b.Text] = true
	}
	for _, want := range []string{"1", "2", "first contact, on fret 6; contact 1, fret 6: 0.52 N"} {
		if !numbers[want] {
			t.Errorf("no text %q on the strip", want)
		}
	}
}

// The last fret, the open string, and a film of nothing.
func TestPluck_Edges(t *testing.T) {
	p := pluckSample(false)
	p.Crowns, p.Fret, p.Neck = nil, 0, strings.Repeat("A long name ", 12)
	strip, err := Strip(p, Micrometres)
	if err != nil {
		t.Fatal(err)
	}
	clean(t, strip, 1.13)
	filmSVG(t, p)
	p.Film = nil
	if _, err := Film(p, Micrometres); err == nil {
		t.Error("a film without moments passed")
	}
}
