package neck

import (
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/fileerr"
)

// Each row changes one place of the example and expects the faults, in full,
// one a line.
func TestParse_Faults(t *testing.T) {
	h := heron(t)
	cases := []struct{ old, new, want string }{
		// Units and numbers.
		{`width = ["43 mm", "56.5 mm"]`, `width = 43`, `heron.toml:11: board.width: 43 has no unit; write "43 mm"`},
		{`width = ["43 mm", "56.5 mm"]`, `width = ["43", "56.5 mm"]`, `heron.toml:11: board.width: 43 has no unit; write "43 mm"`},
		{`radius = ["300 mm", "400 mm"]`, `radius = 16`, `heron.toml:10: board.radius: 16 has no unit; write "16 in"`},
		{`zone = "0.03 mm"`, `zone = 0.002`, `heron.toml:41: level.zone: 0.002 has no unit; write "0.002 mm" or "0.002 in"`},
		{`width = ["43 mm", "56.5 mm"]`, `width = ["43 mm"]`, `heron.toml:11: board.width: has 1 values; write one or two`},
		{`width = ["43 mm", "56.5 mm"]`, `width = ["43 mm", "56,5 mm"]`, `heron.toml:11: board.width: "56,5 mm" has a decimal comma; write "56.5 mm"`},
		{`thickness = "6 mm"`, `thickness = "6 furlong"`, `heron.toml:12: board.thickness: "6 furlong" has the unknown unit "furlong"; write mm, cm or in`},
		{`thickness = "6 mm"`, `thickness = "6 N"`, `heron.toml:12: board.thickness: "6 N" is a force; this needs a length in mm, cm or in`},
		{`thickness = "6 mm"`, `thickness = "6 MM"`, `heron.toml:12: board.thickness: "6 MM": the unit is written mm`},
		{`thickness = "6 mm"`, `thickness = "-6 mm"`, `heron.toml:12: board.thickness: "-6 mm" is outside 0.5 to 40 mm`},
		{`thickness = "6 mm"`, `thickness = "1e308 mm"`, `heron.toml:12: board.thickness: 1e308 is absurdly large`},
		{`thickness = "6 mm"`, `thickness = "NaN mm"`, `heron.toml:12: board.thickness: "NaN" is not a size; write it like 0.58`},
		{`thickness = "6 mm"`, `thickness = inf`, `heron.toml:12: board.thickness: "inf" is not a size; write it like 0.58`},
		{`thickness = "6 mm"`, `thickness = "0x6 mm"`, `heron.toml:12: board.thickness: "0x6" is not decimal; write it like 0.58`},
		{`thickness = "6 mm"`, `thickness = ""`, `heron.toml:12: board.thickness: is empty; write a number and its unit`},
		{`thickness = "6 mm"`, `thickness = true`, `heron.toml:12: board.thickness: is true or false; write a length with its unit in quotes, as "1 mm"`},
		{`moisture = 7.0`, `moisture = nan`, `heron.toml:14: board.moisture: "nan" is not a size; write it like 0.58`},
		{`moisture = 7.0`, `moisture = 70`, `heron.toml:14: board.moisture: 70 is outside 0 to 30`},
		{`hardness = 200`, `hardness = "200"`, `heron.toml:29: wire.hardness: "200" is a text; write 200 without quotes`},
		{`hardness = 200`, `hardness = 2_00`, `heron.toml:29: wire.hardness: "2_00" has an underscore; write 200`},
		{`force = "0.4 N"`, `force = "0.04 kg"`, `heron.toml:53: setup.touch[2].force: "0.04 kg": kg is a mass; write N, lbf or kgf`},
		// Frets and strings.
		{`frets = 22`, `frets = 61`, `heron.toml:6: scale.frets: 61 is outside 1 to 60`},
		{`frets = 22`, `frets = 0`, `heron.toml:6: scale.frets: 0 is outside 1 to 60`},
		{`frets = 22`, `frets = 22.0`, `heron.toml:6: scale.frets: 22.0 is not a whole number; write 22`},
		{`frets = 22`, `frets = 22.5`, `heron.toml:6: scale.frets: 22.5 is not a whole number; use 1 to 60`},
		{`frets = 22`, `frets = 0x16`, `heron.toml:6: scale.frets: "0x16" is not decimal; write it like 0.58`},
		{`frets = 22`, `frets = 12`, `heron.toml:43: level.fall_away.from: 15 is outside 0 to 11 on a neck of 12 frets`},
		{`divisions = 12`, `divisions = 1`, `heron.toml:6: scale.frets: 22 frets at 1 to the octave leave 0 mm before the last; ask for fewer`},
		{`divisions = 12`, `square_at = 23`, `heron.toml:7: scale.square_at: 23 is outside 0 to 22 on a neck of 22 frets`},
		{`pitch = "B3"`, `pitch = "H3"`, `heron.toml:20: strings.set[2].pitch: "H3" is not a pitch from C0 to C9; write a letter A to G, # or b, and an octave, like "E4" or "Bb3"`},
		{`pitch = "B3", `, ``, `heron.toml:20: strings.set[2].pitch: is missing; write one such as pitch = "E4"`},
		{`gauge = "0.036 in", kind = "wound"`, `gauge = "0.036 in", kind = "round"`, `heron.toml:23: strings.set[5].kind: "round" is unknown here; write "plain" or "wound"`},
		{`gauge = "0.013 in", kind`, `gauge = "0.013 in", core = "0.2 mm", kind`, `heron.toml:20: strings.set[2].core: belongs to a wound string; write kind = "wound", or leave it out`},
		{`gauge = "0.036 in"`, `gauge = "0.036 in", core = "1 mm"`, `heron.toml:23: strings.set[5].core: 1 mm must be thinner than the string, 0.914 mm`},
		{`spread = ["35 mm", "51 mm"]`, `spread = ["44 mm", "51 mm"]`, `heron.toml:17: strings.spread: string 1 lies 22 mm from the centre line at the nut, off the board, which is 43 mm wide there`},
		{`spread = ["35 mm", "51 mm"]`, `spread = ["35 mm", "80 mm"]`, `heron.toml:17: strings.spread: string 1 lies 33.686 mm from the centre line at the last fret, off the board, which is 56.5 mm wide there`},
		{`spread = ["35 mm", "51 mm"]`, `spread = "0 mm"`, `heron.toml:17: strings.spread: puts strings on top of each other; write the distance between the outer strings' centres`},
		{`gauge = "0.013 in"`, `gauge = "0.013 in", at = "-12 mm"`, `heron.toml:21: strings.set[3]: is not on the bass side of string 2; strings count from the treble side, where at is positive`},
		{`gauge = "0.010 in"`, `gauge = "0.010 in", at = ["22 mm", "25 mm"]`, `heron.toml:19: strings.set[1].at: string 1 lies 22 mm from the centre line at the nut, off the board, which is 43 mm wide there`},
		// Keys that contradict or miss each other.
		{`length = "640 mm"`, "length = \"640 mm\"\nbass = \"650 mm\"", `heron.toml:5: scale.length: can't be used with bass or treble; give length alone, or bass and treble`},
		{`length = "640 mm"`, `bass = "650 mm"`, `heron.toml:5: scale.treble: is missing; slanted frets need bass and treble`},
		{`length = "640 mm"`, `treble = "650 mm"`, `heron.toml:5: scale.bass: is missing; slanted frets need bass and treble`},
		{`length = "640 mm"`, ``, `heron.toml:4: scale.length: is missing; write length = "640 mm", or bass and treble for slanted frets`},
		{`radius = ["300 mm", "400 mm"]`, `radius = ["flat", "400 mm"]`, `heron.toml:10: board.radius: is flat at one end and round at the other; write "flat" alone, or a radius for each end`},
		{`radius = ["300 mm", "400 mm"]`, `radius = "0 mm"`, `heron.toml:10: board.radius: "0 mm" is outside 30 to 20000 mm`},
		{`"56.5 mm"]`, "\"80 mm\"]\nbinding = \"22 mm\"", `heron.toml:12: board.binding: "22 mm" is outside 0 to 10 mm`},
		{`["43 mm", "56.5 mm"]`, "[\"18 mm\", \"56.5 mm\"]\nbinding = \"9 mm\"", "heron.toml:12: board.binding: 9 mm on each side leaves no wood between\n" +
			"heron.toml:18: strings.spread: string 1 lies 17.5 mm from the centre line at the nut, off the board, which is 18 mm wide there"},
		{`["300 mm", "400 mm"]`, `["300 mm", "1.1 in"]`, `heron.toml:10: board.radius: "1.1 in" is outside 30 to 20000 mm`},
		{`"56.5 mm"]`, `"70 mm"]` + "\nflat = \"50 mm\"", `heron.toml:12: board.flat: "50 mm" is outside 0.001 to 5 mm`},
		{`zone = "0.03 mm"`, ``, `heron.toml:40: level.zone: is missing; write one such as zone = "0.03 mm"`},
		{`depth = "0.10 mm"`, `form = "curved"`, `heron.toml:43: level.fall_away.depth: is missing; write one such as depth = "0.10 mm"`},
		{`fall_away = { from = 15, depth = "0.10 mm" }`, `fall_away = "0.10 mm"`, `heron.toml:43: level.fall_away: is a text; write a table, as { from = 15 }`},
		{`nut = "0.35 mm"`, "nut = \"0.35 mm\"\nnut_gap = \"0.4 mm\"", `heron.toml:49: setup.nut_gap: can't be used with nut; give one of them`},
		{`nut = "0.35 mm"`, `nut = ["0.35 mm", "0.40 mm"]`, `heron.toml:48: setup.nut: has 2 values for 6 strings; write one value, or one for each string`},
		{`action = ["1.40 mm", "1.80 mm"]`, `action = ["1.40 mm", "1.80 mm", "2 mm"]`, `heron.toml:49: setup.action: has 3 values for 6 strings; write one value, a pair for the first and the last string, or one for each`},
		{`judge_by = "firm"`, `judge_by = "brisk"`, `heron.toml:50: setup.judge_by: there is no touch "brisk"; use light, firm, hard`},
		{`name = "hard"`, `name = "firm"`, `heron.toml:54: setup.touch[3].name: "firm" is the name of touch 2 already`},
		{`force = "0.4 N", `, ``, `heron.toml:53: setup.touch[2]: needs force or lift, as force = "0.4 N"`},
		{`force = "0.4 N", `, `force = "0.4 N", lift = "1 mm", `, `heron.toml:53: setup.touch[2]: has force and lift; give one of them`},
		{`"110 mm"`, `"640 mm"`, `heron.toml:53: setup.touch[2].from_saddle: 640 mm must be shorter than the scale, 640 mm`},
		{`relief = "0.12 mm"`, `relief_to = 1`, `heron.toml:47: setup.relief_to: 1 is outside 2 to 60 on a neck of 22 frets`},
		{`[slot]`, "[neck]\nheel = \"95 mm\"\npocket = \"76 mm\"\n[slot]", `heron.toml:38: neck.pocket: a neck is set or bolted on; keep heel or pocket`},
		{`[slot]`, "[neck]\njoint = 23\n[slot]", `heron.toml:37: neck.joint: 23 is outside 1 to 22 on a neck of 22 frets`},
		{`[slot]`, "[neck]\nrod = \"yes\"\n[slot]", `heron.toml:37: neck.rod: is a text; write true or false`},
		// Keys and tables.
		{`thickness = "6 mm"`, `thicknes = "6 mm"`, `heron.toml:12: board.thicknes: is unknown; did you mean thickness?`},
		{`thickness = "6 mm"`, `zone = "6 mm"`, `heron.toml:12: board.zone: is unknown; zone belongs in [level]`},
		{`floor_gap = "0.30 mm"`, `colour = "red"`, `heron.toml:38: slot.colour: is unknown; known here: width, floor_gap`},
		{`depth = "0.10 mm"`, `depth = "0.10 mm", shape = "curved"`, `heron.toml:43: level.fall_away.shape: is unknown; known here: from, depth, form`},
		{`gauge = "0.013 in"`, `guage = "0.013 in"`, `heron.toml:20: strings.set[2].guage: is unknown; did you mean gauge?`},
		{`[slot]`, `[slots]`, `heron.toml:36: slots: is unknown; did you mean slot?`},
		{`frets = 22`, "frets = 22\nfrets = 24", `heron.toml:7: scale.frets: appears twice, first on line 6; keep one`},
		{`[slot]`, "[scale]\n[slot]", `heron.toml:36: scale: appears twice, first on line 4; keep one`},
		{`name = "Heron 22"`, "name = \"Heron 22\"\nslot = 3", "heron.toml:3: slot: is a number; write a table headed [slot]\nheron.toml:37: slot: appears twice, first on line 3; keep one"},
		{`length = "640 mm"`, `length = 640 mm`, `heron.toml:5: not valid TOML; write a text or a size in quotes: length = "640 mm"`},
		{`name = "Heron 22"`, `name = 22`, `heron.toml:2: name: is a number; write a text in quotes`},
		{`name = "Heron 22"`, `name = "Heron\u0007 22"`, `heron.toml:2: name: "Heron\a 22" has a control character`},
		{`length = "640 mm"`, `length = "640 mm`, "heron.toml:5: not valid TOML: a quote is never closed; write one at each end"},
		{`length = "640 mm"`, "length = '640 mm", "heron.toml:5: not valid TOML: a quote is never closed; write one at each end"},
		{`length = "640 mm"`, "length = \"640 mm\"\r#", "heron.toml:5: not valid TOML: its lines end in CR alone; save it with LF or CRLF"},
		{"[wire]\n", "[wire\n", `heron.toml:27: not valid TOML: expected ']' to close table name`},
	}
	for _, c := range cases {
		t.Run(c.new, func(t *testing.T) {
			_, err := Parse("heron.toml", []byte(with(t, h, c.old, c.new)))
			if err == nil {
				t.Fatalf("accepted; want\n%s", c.want)
			}
			if err.Error() != c.want {
				t.Errorf("got\n%v\nwant\n%s", err, c.want)
			}
		})
	}
}

func TestParse_RadiusUnderHalfTheWidth(t *testing.T) {
	h := with(t, with(t, heron(t), `["43 mm", "56.5 mm"]`, `["43 mm", "80 mm"]`), `["300 mm", "400 mm"]`, `["300 mm", "40 mm"]`)
	_, err := Parse("x.toml", []byte(h))
	want := `x.toml:10: board.radius: 40 mm cannot arch a board 80 mm wide at the last fret; write a radius over half the width, or "flat"`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}

func TestParse_MissingTables(t *testing.T) {
	_, err := Parse("x.toml", []byte("name = \"x\"\n"))
	want := "x.toml: [scale] is missing; it needs length (or bass and treble) and frets\n" +
		"x.toml: [board] is missing; it needs radius and width\n" +
		"x.toml: [strings] is missing; it needs spread and set\n" +
		"x.toml: [level] is missing; it needs zone"
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}

// All faults come at once, in file order, 20 lines at most.
func TestParse_AllFaultsAtOnce(t *testing.T) {
	h := strings.NewReplacer(" mm\"", "\"", " in\"", "\"").Replace(heron(t))
	_, err := Parse("heron.toml", []byte(h))
	var list fileerr.List
	if !errors.As(err, &list) || len(list) <= fileerr.MaxFaults {
		t.Fatalf("%d faults", len(list))
	}
	lines := strings.Split(err.Error(), "\n")
	if len(lines) != fileerr.MaxFaults || !strings.HasSuffix(lines[fileerr.MaxFaults-1], "(and more)") {
		t.Errorf("%d lines, the last %q", len(lines), lines[len(lines)-1])
	}
	for i := 1; i < len(list); i++ {
		if list[i].Line < list[i-1].Line {
			t.Errorf("line %d after %d", list[i].Line, list[i-1].Line)
		}
	}
}

// Whatever key of the definition is given a value of the wrong kind, the one
// fault names it and the line it stands on.
func TestParse_EveryKeyNamesItself(t *testing.T) {
	checked := 0
	for _, k := range Keys() {
		for _, wrong := range []string{"1979-05-27", "[[]]", "-1e300", "nan"} {
			name := join(k.Table, k.Name)
			text := "[scale]\nlength = \"640 mm\"\nfrets = 22\n[board]\nradius = \"flat\"\nwidth = \"60 mm\"\n[strings]\nspread = \"35 mm\"\nset = [{pitch = \"E4\"}]\n[level]\nzone = \"0.03 mm\"\n"
			text, line := setKey(text, k.Table, k.Name, wrong)
			_, err := Parse("x.toml", []byte(text))
			want := fmt.Sprintf("x.toml:%d: %s", line, name)
			rest, ok := "", false
			if err != nil {
				rest, ok = strings.CutPrefix(err.Error(), want)
			}
			if !ok || !(strings.HasPrefix(rest, ": ") || strings.HasPrefix(rest, "[1]: ")) {
				t.Errorf("%s = %s: %v; want %q…", name, wrong, err, want)
			}
			checked++
		}
	}
	if checked < 200 {
		t.Fatalf("only %d values tried", checked)
	}
}

// setKey sets one key of one table in a file of plain lines and returns the
// line it stands on.
func setKey(text, table, key, value string) (string, int) {
	var out []string
	line, in, done := 0, table == "", false
	add := func() { out = append(out, key+" = "+value); line, done = len(out), true }
	if in {
		add()
	}
	for l := range strings.Lines(text) {
		l = strings.TrimSuffix(l, "\n")
		if in && strings.HasPrefix(l, key+" =") {
			continue
		}
		out = append(out, l)
		if in = l == "["+table+"]"; in && !done {
			add()
		}
		in = in || (done && table != "" && !strings.HasPrefix(l, "["))
	}
	if !done {
		out = append(out, "["+table+"]")
		add()
	}
	return strings.Join(out, "\n") + "\n", line
}

// A file written in inches gives the same neck as one in mm.
func TestParse_InchesAreMillimetres(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := rapid.Float64Range(1, 20).Draw(t, "mm")
		h := fmt.Sprintf("[scale]\nlength = \"640 mm\"\nfrets = 22\n[board]\nradius = \"flat\"\nwidth = \"60 mm\"\nthickness = \"%%s\"\n[strings]\nspread = \"35 mm\"\nset = [{pitch = \"E4\"}]\n[level]\nzone = \"0.03 mm\"\n")
		inMM, err := Parse("x", fmt.Appendf(nil, h, fmt.Sprintf("%.9f mm", mm)))
		if err != nil {
			t.Fatal(err)
		}
		inIn, err := Parse("x", fmt.Appendf(nil, h, fmt.Sprintf("%.9f in", mm/25.4)))
		if err != nil {
			t.Fatal(err)
		}
		if d := inMM.Board.Thickness - inIn.Board.Thickness; d > 3e-8 || d < -3e-8 {
			t.Errorf("%v mm, %v from inches", inMM.Board.Thickness, inIn.Board.Thickness)
		}
	})
}

// Whatever the bytes, no panic; a file that passes holds finite numbers only.
func FuzzParse(f *testing.F) {
	f.Add([]byte(heron(f)))
	for _, like := range Templates() {
		text, err := Template(like)
		if err != nil {
			f.Fatal(err)
		}
		f.Add([]byte(text))
	}
	for _, s := range []string{"", "[scale]\nlength = 640 mm\n[board", "a.b.c = 1\n[a]\nb = 2\n[[a.b]]\n", "set = [[[[{a={b={}}}]]]]",
		"[level.fall_away]\nfrom = 1\n[[strings.set]]\npitch = \"E4\"\n", "\ufeff'' = \"\"\"\n\"\"\"\n", "\"\\u0000\" = 1\nstrings.set = 3\n"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := Parse("x.toml", data)
		if err != nil {
			if !fileerr.Is(err) {
				t.Errorf("%T is no fault of the file: %v", err, err)
			}
			if strings.Count(err.Error(), "\n") >= fileerr.MaxFaults {
				t.Errorf("too many lines: %v", err)
			}
			return
		}
		if bad := notFinite(reflect.ValueOf(m), "model"); bad != "" {
			t.Error(bad)
		}
		if m.Scale.Frets < 1 || len(m.Strings.Set) < 1 || len(m.Setup.Action) != len(m.Strings.Set) || len(m.Setup.Touch) < 1 {
			t.Errorf("half a neck: %+v", m)
		}
	})
}
