package book

import (
	"context"
	"encoding/binary"
	"fmt"
	"math"
	"time"

	"ringtrue/internal/num"
)

// Judge works out what a record's files say.
type Judge struct {
	Program  string // the version that judges
	Revision int    // of its method; it rises where the same files come out otherwise
	Files    func(ctx context.Context, f Files) (Derived, error)
}

// Derive judges files. An error is the files' fault.
func (j Judge) Derive(ctx context.Context, f Files) (Derived, error) {
	d, err := j.Files(ctx, f)
	if err != nil {
		return Derived{}, err
	}
	d.Program, d.Revision = j.Program, j.Revision
	return d, nil
}

// Figures are what a judgement comes to in a line. Sizes are in mm; one that is
// missing is undetermined.
type Figures struct {
	Verdict  string  `json:"verdict"`
	ZoneMM   num.Opt `json:"zone_mm"`         // of the widest lane
	WorstMM  num.Opt `json:"worst_mm"`        // the farthest any crown stands off its lane's reference
	MetalMM  num.Opt `json:"total_remove_mm"` // all that the least plan takes off
	MostMM   num.Opt `json:"max_remove_mm"`   // the most that it takes off one crown
	Refits   int     `json:"refits"`          // fewest frets to refit before no crown falls below the least
	FretsOff int     `json:"frets_off"`       // frets with a finding
}

// Crown is one determined crown. Sizes are in mm.
type Crown struct {
	Fret  int
	Lane  float64
	OffMM float64 // from the lane's reference
	UMM   float64 // its standard uncertainty, free datum
}

// Derived is what was worked out from a neck file and its readings, and which
// version of the program did. An empty Program: nothing was. Revision is the
// judgement's, 0 where it was made before revisions were counted.
type Derived struct {
	Program  string    `json:"program"`
	Revision int       `json:"judgement,omitempty"`
	Model    string    `json:"model"`           // the neck's name
	States   string    `json:"state,omitempty"` // StatesOf the readings
	Taken    time.Time `json:"taken,omitzero"`  // TakenOn
	Figures
	Crowns Packed `json:"crowns"`
}

// Checksum is that of what is derived.
func (d *Derived) Checksum() Sum {
	var b []byte
	for _, v := range []num.Opt{d.ZoneMM, d.WorstMM, d.MetalMM, d.MostMM} {
		b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v.OrNaN()))
	}
	var taken int64
	if !d.Taken.IsZero() {
		taken = d.Taken.UnixMicro()
	}
	for _, n := range []int64{int64(d.Refits), int64(d.FretsOff), taken} {
		b = binary.LittleEndian.AppendUint64(b, uint64(n))
	}
	return hashOf([]byte("ringtrue derived"), []byte(d.Maker()), []byte(d.Model), []byte(d.States), []byte(d.Verdict), b, d.Crowns)
}

// sameMM is how far two workings-out of one size may differ, in mm: another
// processor may round the last bits of a sum otherwise, and no gauge reads it.
const sameMM = 1e-9

// Differs says in words in what two workings-out of one record differ; empty
// where they come out the same. The program's version is not looked at.
func (d *Derived) Differs(o *Derived) string {
	switch {
	case d.Model != o.Model:
		return fmt.Sprintf("model %q, now %q", d.Model, o.Model)
	case d.States != o.States:
		return fmt.Sprintf("state %q, now %q", d.States, o.States)
	case !d.Taken.Equal(o.Taken):
		return fmt.Sprintf("read on %s, now %s", dated(d.Taken), dated(o.Taken))
	case d.Verdict != o.Verdict:
		return fmt.Sprintf("verdict %q, now %q", d.Verdict, o.Verdict)
	case d.Refits != o.Refits:
		return fmt.Sprintf("%d refits, now %d", d.Refits, o.Refits)
	case d.FretsOff != o.FretsOff:
		return fmt.Sprintf("%d frets with a finding, now %d", d.FretsOff, o.FretsOff)
	}
	sizes := []struct {
		what string
		a, b num.Opt
	}{
		{"zone", d.ZoneMM, o.ZoneMM}, {"worst crown", d.WorstMM, o.WorstMM},
		{"metal to take off", d.MetalMM, o.MetalMM}, {"most metal on a crown", d.MostMM, o.MostMM},
	}
	for _, s := range sizes {
		if s.a.Known() != s.b.Known() || math.Abs(s.a.Or(0)-s.b.Or(0)) > sameMM {
			return fmt.Sprintf("%s %s, now %s", s.what, sizeText(s.a), sizeText(s.b))
		}
	}
	return d.Crowns.differs(o.Crowns)
}

func sizeText(size num.Opt) string {
	if v, known := size.Get(); known {
		return fmt.Sprintf("%.6f mm", v)
	}
	return "undetermined"
}

func dated(t time.Time) string {
	if t.IsZero() {
		return "no date"
	}
	return t.UTC().Format(time.DateOnly)
}
