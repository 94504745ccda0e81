package neck

import (
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"ringtrue/internal/fileerr"
)

// heron is the example neck file.
func heron(t testing.TB) string {
	t.Helper()
	data, err := os.ReadFile("../../examples/heron.toml")
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// with replaces the one place of old in text.
func with(t testing.TB, text, old, new string) string {
	t.Helper()
	if n := strings.Count(text, old); n != 1 {
		t.Fatalf("%q stands %d times", old, n)
	}
	return strings.Replace(text, old, new, 1)
}

// parse reads a file that must be right.
func parse(t testing.TB, text string) Model {
	t.Helper()
	m, err := Parse("heron.toml", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return m
}

func heronModel() Model {
	s := func(pitch string, gauge float64, wound bool) String {
		return String{Pitch: pitch, Gauge: gauge, Wound: wound}
	}
	return Model{
		Name:  "Heron 22",
		Scale: Scale{Bass: 640, Treble: 640, Frets: 22, Divisions: 12},
		Board: Board{Radius: Pair{300, 400}, Width: Pair{43, 56.5}, Thickness: 6, Wood: "ebony",
			MoisturePct: 7, Flat: 0.05, RadiusWithin: 5},
		Body: Body{Rod: true},
		Strings: Strings{Spread: Pair{35, 51}, Damping: Damping{Base: 0.2, Square: 5e-8, Q: 1500, Finger: 0.002}, Set: []String{
			s("E4", 0.254, false), s("B3", 0.3302, false), s("G3", 0.4318, false),
			s("D3", 0.6604, true), s("A2", 0.9144, true), s("E2", 1.1684, true)}},
		Wire: Wire{Alloy: "C75200", Hardness: 200, CrownWidth: 2.4, CrownHeight: 1.2,
			TangDepth: 1.5, TangWidth: 0.52, BarbWidth: 0.78},
		Slot:  Slot{0.58, 0.30},
		Level: Level{Zone: 0.03, FallAway: &FallAway{From: 15, Depth: Pair{0.10, 0.10}}, LeastCrown: 0.90},
		Setup: Setup{Relief: 0.12, ReliefTo: 22, Nut: []float64{0.35, 0.35, 0.35, 0.35, 0.35, 0.35},
			Action:  []float64{1.40, 1.48, 1.56, 1.64, 1.72, 1.80},
			JudgeBy: "firm", Graze: 0.10, Touch: []Touch{
				{Name: "light", Force: 0.2, FromSaddle: 130},
				{Name: "firm", Force: 0.4, FromSaddle: 110},
				{Name: "hard", Force: 0.8, FromSaddle: 80}}},
	}
}

// sameModel compares models, numbers to the last digits but one. What is assumed
// depends on how a file says it; TestParse_Assumed holds that.
func sameModel(t *testing.T, got, want Model) {
	t.Helper()
	got.Assumed, want.Assumed = nil, nil
	if diff := difference(reflect.ValueOf(got), reflect.ValueOf(want), "model"); diff != "" {
		t.Error(diff)
	}
}

func TestParse_Heron(t *testing.T) {
	sameModel(t, parse(t, heron(t)), heronModel())
}

// Where a file says no more than it must, the example's values stand, but for
// what has a default of its own.
func TestParse_Defaults(t *testing.T) {
	m := parse(t, `
[scale]
length = "640 mm"
frets = 22
[board]
radius = ["300 mm", "400 mm"]
width = ["43 mm", "56.5 mm"]
[strings]
spread = ["35 mm", "51 mm"]
set = [{pitch = "E4"}, {pitch = "B3"}, {pitch = "G3"}, {pitch = "D3"}, {pitch = "A2"}, {pitch = "E2"}]
[level]
zone = "0.03 mm"
`)
	want := heronModel()
	want.Name = "heron"
	want.Board.MoisturePct = 8
	want.Wire.Hardness = 0
	want.Level.FallAway = nil
	want.Setup.JudgeBy = "light"
	for i := range want.Strings.Set {
		want.Strings.Set[i].Wound = false
	}
	sameModel(t, m, want)
}

// What a file says is not assumed, be it the default's own value; what it leaves
// out is.
func TestParse_Assumed(t *testing.T) {
	h := heron(t)
	for _, c := range []struct {
		file    string
		assumed bool
	}{
		{h, false},
		{with(t, h, `moisture = 7.0`, `moisture = 8`), false},
		{with(t, h, `moisture = 7.0`, `# moisture = 8`), true},
	} {
		m := parse(t, c.file)
		if got := slices.Contains(m.Assumed, "board.moisture"); got != c.assumed {
			t.Errorf("moisture %g %%: assumed %t, want %t", m.Board.MoisturePct, got, c.assumed)
		}
		if !slices.Contains(m.Assumed, "board.sawn") || slices.Contains(m.Assumed, "board.wood") {
			t.Errorf("assumed: %q", m.Assumed)
		}
	}
	for _, like := range Templates() {
		text, err := Template(like)
		if err != nil {
			t.Fatal(err)
		}
		if m := parse(t, text); !slices.Contains(m.Assumed, "board.moisture") {
			t.Errorf("%s: nobody measured its board, but its moisture counts as given", like)
		}
	}
}

func TestParse_TheSameSaidOtherwise(t *testing.T) {
	h := heron(t)
	set := h[strings.Index(h, "set = ["):strings.Index(h, "[wire]")]
	list := strings.NewReplacer("set = [", "", "  {", "[[strings.set]]", "},\n", "\n", "]\n\n", "\n", ", ", "\n").
		Replace(strings.Replace(set, " # from the highest-pitched", "", 1))
	list = strings.ReplaceAll(list, "[[strings.set]] ", "[[strings.set]]\n")
	cases := map[string]string{
		"inches":           with(t, h, `"43 mm", "56.5 mm"`, `"1.692913385826772 in", '2 57/254"'`),
		"centimetres":      with(t, h, `zone = "0.03 mm"`, `zone = "0.003cm"`),
		"fall-away header": with(t, with(t, h, `fall_away = { from = 15, depth = "0.10 mm" }`, ""), "[setup]", "[level.fall_away]\nfrom = 15\ndepth = [\"0.1 mm\", \"0.1 mm\"]\nform = \"curved\"\n[setup]"),
		"dotted keys":      with(t, h, `fall_away = { from = 15, depth = "0.10 mm" }`, "fall_away.from = 15\nfall_away.depth = '0.1 mm'"),
		"tables of a list": with(t, h, set, list),
		"action each":      with(t, h, `["1.40 mm", "1.80 mm"]`, `["1.40 mm", "1.48 mm", "1.56 mm", "1.64 mm", "1.72 mm", "1.80 mm"]`),
		"nut each":         with(t, h, `nut = "0.35 mm"`, `nut = ["0.35 mm", "0.35 mm", "0.35 mm", "0.35 mm", "0.35 mm", "0.35 mm"]`),
		"per cent":         with(t, h, `moisture = 7.0`, `moisture = "7 %"`),
		"kilograms-force":  with(t, h, `force = "0.4 N"`, `force = "0.04078864851911713 kgf"`),
		"CRLF":             strings.ReplaceAll(h, "\n", "\r\n"),
		"byte order mark":  "\ufeff" + h,
		"sawn flat":        with(t, h, `wood = "ebony"`, "wood = \"ebony\"\nsawn = \"flat\""),
		"all divisions":    with(t, h, `divisions = 12`, "divisions = 12\nsquare_at = 0\nzero_fret = false"),
	}
	for name, text := range cases {
		t.Run(name, func(t *testing.T) { sameModel(t, parse(t, text), heronModel()) })
	}
}

func TestParse_Forms(t *testing.T) {
	h := heron(t)
	cases := []struct {
		name, old, new string
		change         func(*Model)
	}{
		{"slanted", `length = "640 mm"`, "bass = \"660 mm\"\ntreble = \"640 mm\"\nsquare_at = 7", func(m *Model) {
			m.Scale.Bass, m.Scale.Slanted, m.Scale.SquareAt = 660, true, 7
		}},
		{"flat board", `["300 mm", "400 mm"]`, `"flat"`, func(m *Model) { m.Board.Radius = Pair{} }},
		{"one radius", `["300 mm", "400 mm"]`, `"300 mm"`, func(m *Model) { m.Board.Radius = Pair{300, 300} }},
		{"quarter-sawn", `wood = "ebony"`, "wood = \"ebony\"\nsawn = \"quarter\"\nbinding = \"1.5 mm\"", func(m *Model) {
			m.Board.QuarterSawn, m.Board.Binding = true, 1.5
		}},
		{"straight fall-away, two depths", `depth = "0.10 mm"`, `depth = ["0.2 mm", "0.1 mm"], form = "straight"`, func(m *Model) {
			m.Level.FallAway = &FallAway{From: 15, Depth: Pair{0.2, 0.1}, Straight: true}
		}},
		{"nut gap", `nut = "0.35 mm"`, `nut_gap = "0.4 mm"`, func(m *Model) {
			m.Setup.Nut, m.Setup.NutGap = nil, []float64{0.4, 0.4, 0.4, 0.4, 0.4, 0.4}
		}},
		{"nut by default", "nut = \"0.35 mm\"", "# none", func(m *Model) {}},
		{"lift", `force = "0.4 N"`, `lift = "2 mm"`, func(m *Model) { m.Setup.Touch[1] = Touch{Name: "firm", Lift: 2, FromSaddle: 110} }},
		{"string", `gauge = "0.036 in", kind = "wound"`, `gauge = "0.036 in", kind = "wound", core = "0.4 mm", tension = "72 N", stiffness = "40.9 N mm2", at = ["-11 mm", "-15.5 mm"]`, func(m *Model) {
			s := &m.Strings.Set[4]
			s.Core, s.Tension, s.Stiffness, s.At = 0.4, 72, 40.9, &Pair{-11, -15.5}
		}},
		{"wire", `hardness = 200`, "modulus = \"120 GPa\"\nyield = \"590 MPa\"\ncrown_radius = \"1.4 mm\"", func(m *Model) {
			m.Wire.Hardness, m.Wire.Modulus, m.Wire.Yield, m.Wire.CrownRadius = 0, 120000, 590, 1.4
		}},
		{"body and minutes", `[slot]`, "[minutes]\nreseat = 12\nfile = 2.5\n[neck]\njoint = 14\nwood = \"maple\"\nthickness = [\"21 mm\", \"24 mm\"]\nrod = false\n[slot]", func(m *Model) {
			m.Minutes = Minutes{12, 2.5}
			m.Body = Body{Joint: 14, Wood: "maple", Thickness: Pair{21, 24}}
			m.Setup.ReliefTo = 14 // the bow ends at the joint
		}},
		{"heel", `[slot]`, "[neck]\njoint = 14\nheel = \"9.5 cm\"\n[slot]", func(m *Model) {
			m.Setup.ReliefTo = 14 // the joint ends the relief
			m.Body = Body{Joint: 14, Rod: true, Heel: 95}
		}},
		{"pocket", `[slot]`, "[neck]\npocket = \"3 in\"\n[slot]", func(m *Model) { m.Body = Body{Rod: true, Pocket: 76.2} }},
		{"relief to", `relief = "0.12 mm"`, "relief = \"0.12 mm\"\nrelief_to = 14\ngraze = 0.2", func(m *Model) {
			m.Setup.ReliefTo, m.Setup.Graze = 14, 0.2
		}},
		{"relief to beyond the joint", "[setup]", "[neck]\njoint = 14\n[setup]\nrelief_to = 16", func(m *Model) {
			m.Body.Joint, m.Setup.ReliefTo = 14, 16
		}},
		{"a joint that ends no bow", "[setup]", "[neck]\njoint = 1\n[setup]", func(m *Model) { m.Body.Joint = 1 }},
		{"damping", `spread = ["35 mm", "51 mm"]`, "spread = \"35 mm\"\ndamping = { square = 1e-7 }", func(m *Model) {
			m.Strings.Spread, m.Strings.Damping = Pair{35, 35}, Damping{Base: 0.5, Square: 1e-7}
		}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			want := heronModel()
			c.change(&want)
			sameModel(t, parse(t, with(t, h, c.old, c.new)), want)
		})
	}
}

// Over a zero fret the nut only guides: the string rests on fret 0's crown.
func TestParse_ZeroFret(t *testing.T) {
	h := with(t, heron(t), "divisions = 12", "zero_fret = true\ndivisions = 12")
	if m := parse(t, h); m.Setup.Nut[0] != 0.35 {
		t.Errorf("nut %v, want what the file gives", m.Setup.Nut)
	}
	if m := parse(t, with(t, h, "nut = \"0.35 mm\"", "")); m.Setup.Nut[0] != 0 || !m.Scale.ZeroFret {
		t.Errorf("nut %v, want 0", m.Setup.Nut)
	}
}

// On two strings a pair and a list are the same; on one a pair is too many.
func TestParse_FewStrings(t *testing.T) {
	h := heron(t)
	set := h[strings.Index(h, "  { pitch = \"E4\""):strings.Index(h, "]\n\n[wire]")]
	two := with(t, h, set, `{ pitch = "E4" }, { pitch = "E2" }`)
	if m := parse(t, two); !reflect.DeepEqual(m.Setup.Action, []float64{1.4, 1.8}) {
		t.Errorf("two strings: action %v", m.Setup.Action)
	}
	one := with(t, h, set, `{ pitch = "E4" }`)
	if _, err := Parse("x", []byte(one)); err == nil || !strings.Contains(err.Error(), "setup.action: has 2 values for 1 strings") {
		t.Errorf("one string, two actions: %v", err)
	}
	if m := parse(t, with(t, one, `action = ["1.40 mm", "1.80 mm"]`, "")); !reflect.DeepEqual(m.Setup.Action, []float64{1.4}) {
		t.Errorf("one string: action %v", m.Setup.Action)
	}
}

func TestParse_NoTextAtAll(t *testing.T) {
	for name, c := range map[string]struct {
		data []byte
		want string
	}{
		"empty":    {nil, "x.toml: is empty"},
		"blank":    {[]byte(" \n\t\n"), "x.toml: is empty"},
		"binary":   {[]byte("\x7fELF\x00\x01"), "x.toml: is not text"},
		"Latin-1":  {[]byte("name = \"M\xfcller\"\n"), "x.toml: is not text"},
		"too long": {make([]byte, MaxBytes+1), "x.toml: is larger than 1 MB"},
	} {
		_, err := Parse("x.toml", c.data)
		if err == nil || !strings.HasPrefix(err.Error(), c.want) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v", name, err)
		}
		if !fileerr.Is(err) {
			t.Errorf("%s: %T is no fault of the file", name, err)
		}
	}
}

// Nonsense of the largest size ends in few lines; no test can hold the time,
// but work that grows with the square of the size would show here.
func TestParse_LargeNonsense(t *testing.T) {
	var keys strings.Builder
	for i := 0; keys.Len() < MaxBytes-40; i++ {
		fmt.Fprintf(&keys, "k%d = %d\n", i, i)
	}
	deep := strings.Repeat("[", 9000) + strings.Repeat("]", 9000)
	for name, text := range map[string]string{
		"unknown keys":  keys.String(),
		"unknown in":    "[board]\n" + keys.String(),
		"syntax":        strings.Repeat("= 3\n", MaxBytes/4),
		"brackets":      strings.Repeat("[", MaxBytes),
		"nested lists":  strings.Repeat("a = "+deep+"\n", 50),
		"dotted":        strings.Repeat("a.", MaxBytes/2-10) + "b = 3",
		"many lengths":  "[setup]\nnut = [" + strings.Repeat("1,", MaxBytes/2-20) + "]",
		"many strings":  "[strings]\nset = [" + strings.Repeat("{},", MaxBytes/3-20) + "]",
		"many headers":  strings.Repeat("[a]\n", MaxBytes/4),
		"one long line": strings.Repeat("x", MaxBytes),
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Parse("x.toml", []byte(text))
			if err == nil {
				t.Fatal("accepted")
			}
			for line := range strings.Lines(err.Error()) {
				if len(line) > 400 {
					t.Errorf("a line of %d bytes: %.100s…", len(line), line)
				}
			}
			if n := strings.Count(err.Error(), "\n"); n >= fileerr.MaxFaults {
				t.Errorf("%d lines", n+1)
			}
		})
	}
}

func TestParse_NameOfFile(t *testing.T) {
	for file, want := range map[string]string{"a/b/heron.toml": "heron", "-": "neck", "x": "x", "": "neck"} {
		if got := nameOf(file); got != want {
			t.Errorf("%q: %q, want %q", file, got, want)
		}
	}
}

func BenchmarkParse(b *testing.B) {
	data := []byte(heron(b))
	b.ReportAllocs()
	for b.Loop() {
		if _, err := Parse("heron.toml", data); err != nil {
			b.Fatal(err)
		}
	}
}
