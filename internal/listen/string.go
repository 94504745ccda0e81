package listen

import (
	"fmt"
	"math"

	"ringtrue/internal/heard"
	"ringtrue/internal/num"
	"ringtrue/internal/stringset"
	"ringtrue/internal/tune"
)

// String is what one string's notes tell.
type String struct {
	String        int         `json:"string"`
	Pitch         string      `json:"pitch"`
	Wound         bool        `json:"wound"`
	Heard         int         `json:"heard"`
	Expected      int         `json:"expected"`
	TunedBy       int         `json:"tuned_by_semitones,omitempty"` // it is tuned so far off its file
	OpenCents     num.Opt     `json:"open_cents"`
	Saddle        *tune.Moves `json:"saddle_alone"` // from where it stands, by what was heard
	Both          *tune.Moves `json:"saddle_and_nut"`
	SetbackMM     num.Opt     `json:"predicted_saddle_setback_mm"` // from the scale's line, as `play --tune` has it: least squares
	NutSetbackMM  num.Opt     `json:"predicted_nut_setback_mm"`
	Inharmonic    int         `json:"inharmonicity_heard"` // notes whose inharmonicity could be told
	GaugeMM       num.Opt     `json:"gauge_heard_mm"`      // of a plain steel string that sounds so
	UGaugeMM      num.Opt     `json:"u_gauge_heard_mm"`
	GaugeFileMM   num.Opt     `json:"gauge_mm"`
	StiffnessNMM2 num.Opt     `json:"stiffness_heard_n_mm2"`
	FileNMM2      float64     `json:"stiffness_n_mm2"` // of the neck file
	Doubt         Doubt       `json:"doubt,omitempty"`
	Damping       *heard.Law  `json:"damping_heard"`
}

// Doubt is what about a string's data in the neck file cannot be right.
type Doubt string

// Doubts.
const (
	WrongGauge     Doubt = "gauge"
	WrongStiffness Doubt = "stiffness"
	WrongPitch     Doubt = "pitch"
)

// What is needed to tell, and how far off the file may be.
const (
	leastTold     = 3    // notes with an inharmonicity
	gaugeOff      = 0.08 // a share at least, and this many standard uncertainties
	gaugeSigmas   = 2.5
	gaugeDoubt    = 0.03 // of what the steel is, and how its ends are held
	stiffnessOff  = 2.0  // a ratio
	leastDecays   = 16
	leastForMoves = 4 // frets
)

// strings tells of every string what its notes do.
func (out *Report) strings(r Request, by map[int]int) error {
	for _, number := range r.Strings {
		l, err := tune.OfNeck(r.Model, r.Layout, number, r.A4Hz)
		if err != nil {
			return err
		}
		of := r.Model.Strings.Set[number-1]
		s := String{String: number, Pitch: of.Pitch, Wound: of.Wound, Expected: r.To - r.From + 1, TunedBy: by[number], FileNMM2: l.String.StiffnessNMM2}
		if of.Gauge > 0 {
			s.GaugeFileMM = num.Some(of.Gauge)
		}
		var notes []*Note
		seen := map[int]bool{}
		for i := range out.Notes {
			if n := &out.Notes[i]; n.String == number {
				if n.LengthMM = lengthOf(l, n.Fret); !seen[n.Fret] {
					s.Heard++
				}
				seen[n.Fret] = true
				notes = append(notes, n)
			}
		}
		s.damping(notes)
		if s.TunedBy != 0 {
			s.Doubt = WrongPitch
		} else {
			s.moves(l, notes)
			s.stiffness(l, notes)
		}
		out.Strings = append(out.Strings, s)
	}
	return nil
}

// lengthOf is the sounding length of a stop.
func lengthOf(l tune.Lane, fret int) float64 {
	for _, f := range l.Frets {
		if f.Number == fret {
			return l.String.ScaleMM - f.XMM
		}
	}
	return l.String.ScaleMM
}

// moves finds how far saddle and nut should move. Without the open string there is
// nothing to take the others from.
func (s *String) moves(l tune.Lane, notes []*Note) {
	if b, err := l.LeastSquares(true); err == nil {
		s.SetbackMM, s.NutSetbackMM = num.Some(b.SaddleMM), num.Some(b.NutMM)
	}
	var frets []int
	var off, open []float64
	for _, n := range notes {
		if n.Fret == 0 {
			open = append(open, n.Cents)
		}
	}
	if len(open) == 0 {
		return
	}
	s.OpenCents = num.Some(num.Median(open))
	for _, n := range notes {
		if n.Fret > 0 {
			frets, off = append(frets, n.Fret), append(off, n.Cents-s.OpenCents.Or(0))
		}
	}
	if len(frets) < leastForMoves {
		return
	}
	if m, err := l.MovesFor(frets, off, false); err == nil {
		s.Saddle = &m
	}
	if m, err := l.MovesFor(frets, off, true); err == nil {
		s.Both = &m
	}
}

// stiffness finds the bending stiffness that the notes' inharmonicity asks for, and of a
// plain string its gauge: B = π²·EI/(T·L²), T as the string is tuned. Of plain steel
// that is d = 8·L²·f·√(ρB/E)/π (Fletcher, JASA 36 (1964) 203).
func (s *String) stiffness(l tune.Lane, notes []*Note) {
	var ei, gauge []float64
	for _, n := range notes {
		b, ok := n.Inharmonicity.Get()
		if !ok {
			continue
		}
		ei = append(ei, b*l.String.TensionN*n.LengthMM*n.LengthMM/(math.Pi*math.Pi))
		f0 := n.Hz / math.Sqrt(1+b)
		perM := n.LengthMM * 1e-3
		gauge = append(gauge, 1e3*8*perM*perM*f0*math.Sqrt(stringset.SteelGPerMM3*1e6*b/(stringset.SteelModulusMPa*1e6))/math.Pi)
	}
	if s.Inharmonic = len(ei); len(ei) < leastTold {
		return
	}
	s.StiffnessNMM2 = num.Some(num.Median(ei))
	if ratio := s.StiffnessNMM2.Or(0) / s.FileNMM2; s.Wound && (ratio > stiffnessOff || ratio < 1/stiffnessOff) {
		s.Doubt = WrongStiffness
	}
	if s.Wound {
		return
	}
	d := num.Median(gauge)
	off := make([]float64, len(gauge))
	for i, g := range gauge {
		off[i] = math.Abs(math.Log(g / d))
	}
	// Notes that scatter were heard badly, and perhaps all of them alike.
	u := math.Hypot(gaugeDoubt, 1.4826*num.Median(off))
	s.GaugeMM, s.UGaugeMM = num.Some(d), num.Some(u*d)
	if file, ok := s.GaugeFileMM.Get(); ok && math.Abs(math.Log(d/file)) > math.Max(gaugeOff, gaugeSigmas*u) {
		s.Doubt = WrongGauge
	}
}

// damping is the law of all the string's partials.
func (s *String) damping(notes []*Note) {
	var all []heard.Decay
	for _, n := range notes {
		all = append(all, n.Decays...)
	}
	if len(all) < leastDecays {
		return
	}
	if law, ok := heard.LawOf(all); ok {
		s.Damping = &law
	}
}

// Learned says whether a string's sound tells its stiffness or its damping.
func (s String) Learned() bool { return s.StiffnessNMM2.Known() || s.Damping != nil }

// errNothing is a recording that teaches nothing.
var errNothing = fmt.Errorf("nothing to learn: no string's stiffness or damping could be heard")
