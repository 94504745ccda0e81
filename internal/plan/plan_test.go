package plan

import (
	"math"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"ringtrue/internal/casetest"
	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/neck"
	"ringtrue/internal/necktest"
)

const heronish = `
name = "Heron 22"
[scale]
length = "640 mm"
frets = 22
[board]
radius = ["300 mm", "400 mm"]
width = ["43 mm", "56.5 mm"]
thickness = "6 mm"
wood = "ebony"
[neck]
wood = "maple"
thickness = ["21 mm", "23 mm"]
joint = 16
[strings]
spread = ["35 mm", "51 mm"]
set = [
  { pitch = "E4", gauge = "0.010 in" }, { pitch = "B3", gauge = "0.013 in" }, { pitch = "G3", gauge = "0.017 in" },
  { pitch = "D3", gauge = "0.026 in", kind = "wound" }, { pitch = "A2", gauge = "0.036 in", kind = "wound" },
  { pitch = "E2", gauge = "0.046 in", kind = "wound" },
]
[wire]
alloy = "C75200"
hardness = 200
[level]
zone = "0.03 mm"
`

func edit(t testing.TB, pairs ...string) string {
	t.Helper()
	s := heronish
	for i := 0; i < len(pairs); i += 2 {
		if !strings.Contains(s, pairs[i]) {
			t.Fatalf("%q is not in the neck file", pairs[i])
		}
		s = strings.Replace(s, pairs[i], pairs[i+1], 1)
	}
	return s
}

func load(t testing.TB, toml string) (neck.Model, *geometry.Layout) {
	t.Helper()
	return necktest.Of(t, toml)
}

func planned(t testing.TB, toml string, o Options) Plan {
	t.Helper()
	m, l := load(t, toml)
	p, err := Make(m, l, o)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// TestPlace_ISO16: equal temperament halves the string at fret 12, and every
// step is the last times 2^(-1/12) (ISO 16:1975 for the ratio).
func TestPlace_ISO16(t *testing.T) {
	p := planned(t, heronish, Defaults())
	if len(p.Frets) != 22 || math.Abs(p.Frets[11].CentreMM-320) > 1e-9 {
		t.Fatalf("%d frets, the twelfth at %g", len(p.Frets), p.Frets[11].CentreMM)
	}
	for i := 1; i < len(p.Frets); i++ {
		if r := p.Frets[i].StepMM / p.Frets[i-1].StepMM; math.Abs(r-math.Exp2(-1.0/12)) > 1e-12 {
			t.Errorf("fret %d: step ratio %.15g", i+1, r)
		}
	}
}

// TestPlace_255: the places of a 25.5 in scale of twelve divisions as printed in
// trade tables, in inches to 0.001 (from memory).
func TestPlace_255(t *testing.T) {
	p := planned(t, edit(t, `"640 mm"`, `"25.5 in"`), Defaults())
	for fret, inch := range map[int]float64{1: 1.431, 2: 2.782, 3: 4.057, 5: 6.397, 7: 8.481, 12: 12.75, 21: 17.919, 22: 18.344} {
		if got := p.Frets[fret-1].CentreMM / 25.4; math.Abs(got-inch) > 6e-4 {
			t.Errorf("fret %d at %.4f in, want %.3f", fret, got, inch)
		}
	}
}

// TestPlace_slanted builds a slanted neck a second way: each outer lane has its
// own rule, fret 7 stands square, and every fret is the straight line between.
func TestPlace_slanted(t *testing.T) {
	p := planned(t, edit(t, `length = "640 mm"`, "bass = \"660 mm\"\ntreble = \"630 mm\"\nsquare_at = 7"), Defaults())
	share := func(n int) float64 { return 1 - math.Exp2(-float64(n)/12) }
	spreadAt := func(n int) float64 { return 35 + (51-35)*share(n) }
	for _, f := range p.Frets {
		if math.Abs(f.BassMM-660*share(f.Number)) > 1e-9 || math.Abs(f.TrebleMM-630*share(f.Number)) > 1e-9 {
			t.Errorf("fret %d: lanes %g and %g", f.Number, f.BassMM, f.TrebleMM)
		}
		// The bass end lies back of the treble end by the difference of what is
		// left of the two rules, measured from fret 7.
		ahead := 660*(share(f.Number)-share(7)) - 630*(share(f.Number)-share(7))
		slope := ahead / spreadAt(f.Number) // x gained from treble to bass, a mm
		if want := math.Atan(math.Abs(slope)) * 180 / math.Pi; math.Abs(f.SlantDeg-want) > 1e-5 {
			t.Errorf("fret %d slants %.7f, want %.7f degrees", f.Number, f.SlantDeg, want)
		}
		run := f.Ends[0].X - f.Ends[1].X
		rise := f.Ends[1].Y - f.Ends[0].Y
		if math.Abs(run-slope*rise) > 1e-9 {
			t.Errorf("fret %d: its ends are not on its line", f.Number)
		}
		if !(f.CutMM-4 >= f.WidthMM) {
			t.Errorf("fret %d: cut %g on a board %g wide", f.Number, f.CutMM, f.WidthMM)
		}
	}
}

// TestPlace_arch: on a cylinder a straight fret's length over the arch is
// 2R·asin(w/2R), and the slot's straight floor lies deeper by the sagitta.
func TestPlace_arch(t *testing.T) {
	p := planned(t, edit(t, `["300 mm", "400 mm"]`, `"250 mm"`, `["43 mm", "56.5 mm"]`, `"50 mm"`, `["35 mm", "51 mm"]`, `["35 mm", "40 mm"]`), Defaults())
	for _, f := range p.Frets {
		if want := 500*math.Asin(25.0/250) + 4; math.Abs(f.CutMM-want) > 1e-7 {
			t.Errorf("fret %d: cut %.9f, want %.9f", f.Number, f.CutMM, want)
		}
		if want := 1.8 + 250 - math.Sqrt(250*250-25*25); math.Abs(f.StraightMM-want) > 1e-9 {
			t.Errorf("fret %d: straight floor %.9f, want %.9f", f.Number, f.StraightMM, want)
		}
		if want := (0.58*1.8 - 0.52*1.5) * 50; math.Abs(f.GlueMM3-want) > 1e-9 {
			t.Errorf("fret %d: glue %g, want %g", f.Number, f.GlueMM3, want)
		}
	}
	sum := 0.0
	for _, f := range p.Frets {
		sum += f.CutMM
	}
	if math.Abs(p.TotalMM-sum) > 1e-9 || math.Abs(p.WasteMM-1.05*sum) > 1e-9 {
		t.Errorf("total %g, with waste %g; cuts sum to %g", p.TotalMM, p.WasteMM, sum)
	}
}

// TestPlace_bound: slots, tangs and glue stop at the binding, wire does not.
func TestPlace_bound(t *testing.T) {
	free := planned(t, heronish, Defaults())
	bound := planned(t, edit(t, `wood = "ebony"`, "wood = \"ebony\"\nbinding = \"1.5 mm\""), Defaults())
	for i, f := range bound.Frets {
		o := free.Frets[i]
		if f.CutMM != o.CutMM || math.Abs(o.SlotMM-f.SlotMM-3) > 0.02 || math.Abs(f.TangMM-(f.SlotMM-1)) > 1e-9 {
			t.Errorf("fret %d: cut %g, slot %g, tang %g; unbound %g, %g", f.Number, f.CutMM, f.SlotMM, f.TangMM, o.CutMM, o.SlotMM)
		}
		if math.Abs(f.NipMM-(2+1.5+0.5)) > 0.02 || o.NipMM != 0 {
			t.Errorf("fret %d: nip %g, unbound %g", f.Number, f.NipMM, o.NipMM)
		}
		if want := (0.58*1.8 - 0.52*1.5) * (f.WidthMM - 3); math.Abs(f.GlueMM3-want) > 1e-9 {
			t.Errorf("fret %d: glue %g, want %g", f.Number, f.GlueMM3, want)
		}
	}
	if bound.Glue.Way != BindingCloses {
		t.Errorf("glue into closed slots: %d", bound.Glue.Way)
	}
}

// TestPlace_19divisions: other divisions and a zero fret.
func TestPlace_19divisions(t *testing.T) {
	p := planned(t, edit(t, "frets = 22", "frets = 19\ndivisions = 19\nzero_fret = true"), Defaults())
	if p.Frets[0].Number != 0 || p.Frets[0].CentreMM != 0 || len(p.Frets) != 20 {
		t.Fatalf("first fret %+v of %d", p.Frets[0], len(p.Frets))
	}
	if math.Abs(p.Frets[19].CentreMM-320) > 1e-9 {
		t.Errorf("fret 19 of 19 at %g", p.Frets[19].CentreMM)
	}
}

// TestBend_range: harder wire is bent tighter; a flat board asks for no bend;
// the alloy's yield stands in where no hardness is given.
func TestBend_range(t *testing.T) {
	p := planned(t, heronish, Defaults())
	for _, f := range p.Frets {
		mm, board := casetest.Value(f.LoadedMM), casetest.Value(f.BoardMM)
		if r := f.LoadedRange; !(r.Low < mm && mm < r.High && r.High < board) {
			t.Errorf("fret %d: %g in %g to %g for %g", f.Number, mm, r.Low, r.High, board)
		}
	}
	if p.Wire.From != "hardness" || math.Abs(p.Wire.YieldMPa-200*9.807/3) > 1e-9 || p.Wire.ModulusMPa != 125e3 {
		t.Errorf("%+v", p.Wire)
	}
	if p := planned(t, edit(t, "hardness = 200\n", ""), Defaults()); p.Wire.From != "alloy" || p.Wire.YieldMPa != 510 {
		t.Errorf("alloy: %s %g", p.Wire.From, p.Wire.YieldMPa)
	}
	own := planned(t, edit(t, "hardness = 200", "modulus = \"120 GPa\"\nyield = \"590 MPa\""), Defaults())
	if own.Wire.From != "given" || own.Wire.YieldMPa != 590 || own.Frets[0].LoadedRange.Low != own.Frets[0].LoadedRange.High {
		t.Errorf("given: %+v", own.Wire)
	}
	flat := planned(t, edit(t, `["300 mm", "400 mm"]`, `"flat"`), Defaults())
	if flat.Frets[0].LoadedMM.Known() || flat.Frets[0].BoardMM.Known() {
		t.Errorf("flat: %+v", flat.Frets[0])
	}
}

// TestBend_trial: a plan from a trial bend bends that very wire to that very
// radius again.
func TestBend_trial(t *testing.T) {
	o := Defaults()
	o.Trial = &Trial{LoadedMM: 120, FreeMM: 307.80190402497817}
	p := planned(t, heronish, o)
	if p.Wire.From != "trial" || math.Abs(casetest.Value(p.Frets[0].LoadedMM)-120) > 1e-4 {
		t.Errorf("%s: fret 1 loaded %g, want 120", p.Wire.From, casetest.Value(p.Frets[0].LoadedMM))
	}
	m, l := load(t, heronish)
	o.Trial = &Trial{LoadedMM: 400, FreeMM: 300}
	if _, err := Make(m, l, o); err == nil || !strings.Contains(err.Error(), "trial") {
		t.Errorf("a trial that springs the wrong way: %v", err)
	}
}

func TestMake_refuses(t *testing.T) {
	for _, c := range []struct{ name, toml, want string }{
		{"alloy", edit(t, `"C75200"`, `"nickle silver"`), "nickel silver"},
		{"board wood", edit(t, `"ebony"`, `"ebny"`), "ebony"},
		{"neck wood", edit(t, `"maple"`, `"mapel"`), "maple"},
		{"frets too close", edit(t, "frets = 22", "frets = 48"), "apart"},
		{"bend past the wire", edit(t, `["300 mm", "400 mm"]`, `"33 mm"`), "breaks at"},
		{"alloy without figures", edit(t, "alloy = \"C75200\"\nhardness = 200", "alloy = \"copper-tin-iron\""), "give"},
	} {
		m, l := load(t, c.toml)
		if _, err := Make(m, l, Defaults()); !fileerr.Is(err) || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

// TestWorn_Archard is WEA-01 and -02 in the form V = K·P·L/(3H).
func TestWorn_Archard(t *testing.T) {
	casetest.Checked(t, map[string]float64{"WEA-01": Worn(6e-4, 1, 1e6, 150), "WEA-02": 120 * 9.8 / 1000})
}

func TestCompareAlloys(t *testing.T) {
	p := planned(t, heronish, Defaults())
	list := p.CompareAlloys()
	by := map[string]Compared{}
	for _, c := range list {
		by[c.Designation] = c
	}
	base, steel := by["C75200"], by["S30400"]
	if base.Wear != 1 || base.Nip != 1 || !(steel.Wear < 0.6) || !(steel.Nip > 2) || !(casetest.Value(steel.LoadedMM) < casetest.Value(base.LoadedMM)) {
		t.Errorf("nickel silver %+v\nstainless %+v", base, steel)
	}
}

// TestBevel: 1.2 mm of crown at 30 degrees loses 0.693 mm; a string that stands
// closer to the edge runs off and is named.
func TestBevel(t *testing.T) {
	if got := BevelLossMM(1.2, 30); math.Abs(got-1.2/math.Sqrt(3)) > 1e-12 {
		t.Errorf("%g", got)
	}
	p := planned(t, heronish, Defaults())
	f := p.Frets[0]
	if want := (f.WidthMM-35-16*(35.92043988371614/640))/2 - 1.2/math.Sqrt(3); math.Abs(f.TopMM[0]-want) > 1e-9 || math.Abs(f.TopMM[1]-want) > 1e-9 {
		t.Errorf("over the bevel %v, want %g", f.TopMM, want)
	}
	o := Defaults()
	o.BevelDeg = 80
	p = planned(t, heronish, o)
	if b := p.Bevel; !(b.LeastMM[1] < 0) || b.LeastMM[1] != p.Frets[b.LeastFret[1]-1].TopMM[1] {
		t.Errorf("string 1 does not run off: %+v", b)
	}
}

func TestCoils(t *testing.T) {
	frets := []Fret{{CutMM: 40}, {CutMM: 50}, {CutMM: 60}}
	for coil, want := range map[float64]int{150: 1, 149: 2, 60: 3, 110: 2, 59: 0} {
		if got := coils(frets, coil); got != want {
			t.Errorf("coils of %g: %d, want %d", coil, got, want)
		}
	}
}

// TestMake_mirror: swapping bass and treble of a slanted neck swaps its ends and
// changes nothing else.
func TestMake_mirror(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b, tr := rapid.IntRange(620, 680).Draw(t, "bass"), rapid.IntRange(600, 660).Draw(t, "treble")
		of := func(bass, treble int) Plan {
			toml := strings.Replace(heronish, `length = "640 mm"`, "bass = \""+strconv.Itoa(bass)+" mm\"\ntreble = \""+strconv.Itoa(treble)+" mm\"\nsquare_at = 7", 1)
			m, err := neck.Parse("heron.toml", []byte(toml))
			if err != nil {
				t.Fatal(err)
			}
			l, err := geometry.New(m)
			if err != nil {
				t.Fatal(err)
			}
			p, err := Make(m, l, Defaults())
			if err != nil {
				t.Fatal(err)
			}
			return p
		}
		p, q := of(b, tr), of(tr, b)
		for i := range p.Frets {
			x, y := p.Frets[i], q.Frets[i]
			if math.Abs(x.BassMM-y.TrebleMM) > 1e-9 || math.Abs(x.CutMM-y.CutMM) > 1e-9 || math.Abs(x.Ends[0].X-y.Ends[1].X) > 1e-9 || math.Abs(x.TopMM[0]-y.TopMM[1]) > 1e-9 {
				t.Fatalf("fret %d: %+v and mirrored %+v", x.Number, x, y)
			}
		}
	})
}

func BenchmarkMake(b *testing.B) {
	m, l := load(b, heronish)
	for b.Loop() {
		if _, err := Make(m, l, Defaults()); err != nil {
			b.Fatal(err)
		}
	}
}

// TestBevel_room: by hand, 1.2 mm of crown sets the crown's top in by 0.69, 0.84
// and 1.20 mm at 30, 35 and 45 degrees; the Heron's outer strings then have 3.38 mm
// at fret 1 and 4.30 mm at fret 22, less rounding, and less what the driest takes.
func TestBevel_room(t *testing.T) {
	for deg, want := range map[float64]float64{30: 0.69, 35: 0.84, 45: 1.20} {
		casetest.Near(t, "inset", BevelLossMM(1.2, deg), want, 0.005)
	}
	o := Defaults()
	o.RoundingMM = 0
	whole := planned(t, heronish, o).Bevel
	o.RoundingMM, o.DryShare = 0.2, 0.18/56.5
	dry := planned(t, heronish, o).Bevel
	for side := range 2 {
		r := whole.Room[side]
		casetest.Near(t, "fret 1", r.FirstMM, 3.38, 0.01)
		casetest.Near(t, "fret 22", r.LastMM, 4.30, 0.01)
		if r.LeastFret != 1 || r.LeastMM != r.FirstMM || r.DriestMM != r.LeastMM || r.Tight() {
			t.Errorf("%+v", r)
		}
		d := dry.Room[side]
		casetest.Near(t, "rounded", d.LastMM, r.LastMM-0.2, 1e-12)
		casetest.Near(t, "driest", d.DriestMM, d.LeastMM-0.18*planned(t, heronish, o).Frets[0].WidthMM/56.5, 1e-12)
	}
	o.BevelDeg = 48
	if r := planned(t, heronish, o).Bevel.Room[1]; !r.Tight() || r.LeastMM < LeastRoomMM {
		t.Errorf("tight only in the driest, and said so: %+v", r)
	}
}
