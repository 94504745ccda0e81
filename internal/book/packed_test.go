package book

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// What is packed comes back to within half a step: 0.05 µm in height and
// 0.005 µm in uncertainty where crowns stand within 3 mm, else ten times
// coarser for each further digit.
func TestPack_RoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		size := rapid.SampledFrom([]float64{0.01, 0.3, 3, 40, 5e4}).Draw(t, "size in mm")
		firstFret := rapid.IntRange(0, 12).Draw(t, "first fret")
		frets := rapid.IntRange(1, 26).Draw(t, "frets")
		var crowns []Crown
		for lane := range rapid.IntRange(1, 8).Draw(t, "lanes") {
			for fret := range frets {
				if rapid.IntRange(0, 4).Draw(t, "determined") == 0 {
					continue
				}
				crowns = append(crowns, Crown{
					Fret: firstFret + fret, Lane: 1 + float64(lane)/2,
					OffMM: rapid.Float64Range(-size, size).Draw(t, "off"), UMM: rapid.Float64Range(0, size/3).Draw(t, "u"),
				})
			}
		}
		p, err := Pack(crowns)
		if err != nil {
			t.Fatal(err)
		}
		back, err := p.Unpack()
		if err != nil || len(back) != len(crowns) {
			t.Fatalf("%d crowns became %d: %v", len(crowns), len(back), err)
		}
		most, maxU := 0.0, 0.0
		for _, c := range crowns {
			most, maxU = max(most, math.Abs(c.OffMM)), max(maxU, c.UMM)
		}
		// The head-room of an int16 and a uint16, in their steps.
		tol := 0.5001 * heightStepMM * max(1, math.Pow(10, math.Ceil(math.Log10(most/heightStepMM/(math.MaxInt16-1)))))
		tolU := 0.5001 * uStepMM * max(1, math.Pow(10, math.Ceil(math.Log10(maxU/uStepMM/(math.MaxUint16-1)))))
		for i, c := range crowns {
			b := back[i]
			if b.Fret != c.Fret || b.Lane != c.Lane || math.Abs(b.OffMM-c.OffMM) > tol || math.Abs(b.UMM-c.UMM) > tolU {
				t.Fatalf("crown %+v came back as %+v; tolerances %g and %g", c, b, tol, tolU)
			}
		}
		if again, err := Pack(back); err != nil || again.differs(p) != "" {
			t.Errorf("packed once more: %v, %s", err, again.differs(p))
		}
	})
}

// What cannot be kept as it is must be refused, not changed.
func TestPack_Refuses(t *testing.T) {
	good := Crown{Fret: 3, Lane: 2, OffMM: 0.01, UMM: 0.004}
	with := func(change func(*Crown)) []Crown {
		c := good
		c.Fret++
		change(&c)
		return []Crown{good, c}
	}
	every := make([]Crown, 0, 256)
	for fret := range 256 {
		every = append(every, Crown{Fret: fret, Lane: 1})
	}
	for what, crowns := range map[string][]Crown{
		"no number":                 with(func(c *Crown) { c.OffMM = math.NaN() }),
		"no end":                    with(func(c *Crown) { c.OffMM = math.Inf(-1) }),
		"an uncertainty below zero": with(func(c *Crown) { c.UMM = -0.004 }),
		"no uncertainty":            with(func(c *Crown) { c.UMM = math.NaN() }),
		"a lane that is none":       with(func(c *Crown) { c.Lane = math.NaN() }),
		"a lane without end":        with(func(c *Crown) { c.Lane = math.Inf(1) }),
		"the same crown twice":      with(func(c *Crown) { c.Fret-- }),
		"a fret below the nut":      with(func(c *Crown) { c.Fret = -1 }),
		"too high a fret":           with(func(c *Crown) { c.Fret = 256 }),
		"256 frets":                 every,
		"a size of another world":   with(func(c *Crown) { c.OffMM = 1e30 }),
	} {
		if p, err := Pack(crowns); err == nil {
			back, _ := p.Unpack()
			t.Errorf("%s was packed, and comes back as %d crowns: %+v", what, len(back), back[:min(2, len(back))])
		}
	}
	if p, err := Pack(every[:255]); err != nil || len(p) == 0 {
		t.Errorf("255 frets: %v", err)
	}
}

// FuzzPacked: any bytes either are no packed crowns, or are crowns that pack
// and open to the same.
func FuzzPacked(f *testing.F) {
	for _, crowns := range [][]Crown{nil, {{Fret: 3, Lane: 2, OffMM: -0.012, UMM: 0.004}}, {{Fret: 0, Lane: 1}, {Fret: 22, Lane: 6.5, OffMM: 40, UMM: 9}}} {
		p, err := Pack(crowns)
		if err != nil {
			f.Fatal(err)
		}
		f.Add([]byte(p))
	}
	f.Add([]byte{1, 255, 255, 255, 12, 12})
	f.Fuzz(func(t *testing.T, data []byte) {
		crowns, err := Packed(data).Unpack()
		if err != nil {
			return
		}
		p, err := Pack(crowns)
		if err != nil {
			t.Fatalf("%d crowns that were read cannot be packed: %v", len(crowns), err)
		}
		if diff := Packed(data).differs(p); diff != "" {
			t.Errorf("packed again: %s", diff)
		}
	})
}
