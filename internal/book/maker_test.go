package book

import (
	"encoding/hex"
	"testing"
)

// The seal of a judgement without a revision is the one that books of every
// version before revisions have on disk. The value was printed by that program.
func TestDerived_SealWithoutRevisionStays(t *testing.T) {
	d := derived(t, heron())
	const before = "e4f8172752d4933a72e532c71a522f9474bab3d6d83bac08b4c577ecbcdf2259"
	seal := d.Checksum()
	if got := hex.EncodeToString(seal[:]); got != before {
		t.Errorf("seal %s, want %s: books on disk would be called damaged", got, before)
	}
	d.Revision = 2
	if d.Checksum() == seal {
		t.Error("the revision is not sealed")
	}
}

// What Maker joins SetMaker takes apart; any other text is a version alone.
func TestDerived_Maker(t *testing.T) {
	for _, c := range []struct {
		program  string
		revision int
		want     string
	}{
		{"1.0", 2, "1.0 (judgement 2)"}, {"0.1.0-dev+f0a1", 12, "0.1.0-dev+f0a1 (judgement 12)"}, {"1.0", 0, "1.0"}, {"", 0, ""},
	} {
		d := Derived{Program: c.program, Revision: c.revision}
		if got := d.Maker(); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
		var back Derived
		back.SetMaker(c.want)
		if back.Program != c.program || back.Revision != c.revision {
			t.Errorf("%q comes back as %q, %d", c.want, back.Program, back.Revision)
		}
	}
	for _, odd := range []string{"1.0 (judgement 0)", "1.0 (judgement -1)", "1.0 (judgement 02)", "1.0 (judgement 2", "1.0 (judgement x)", " (judgement 2)", "1.0 (judgement 2) b"} {
		var d Derived
		d.SetMaker(odd)
		if d.Program != odd || d.Revision != 0 {
			t.Errorf("%q is taken apart into %q, %d", odd, d.Program, d.Revision)
		}
	}
	if d := (Derived{Revision: 2}); d.Maker() != "" {
		t.Errorf("nothing worked out is kept as %q", d.Maker())
	}
	old, now := Derived{Program: "1.0"}, Derived{Program: "1.0", Revision: 2}
	if old.MakerText() != "version 1.0" || now.MakerText() != "version 1.0, judgement 2" {
		t.Errorf("%q, %q", old.MakerText(), now.MakerText())
	}
}
