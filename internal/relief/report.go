package relief

import (
	"math"

	"ringtrue/internal/neck"
	"ringtrue/internal/num"
)

// Report is what strings and rod do to a neck. u is a standard uncertainty; reliefs are
// from the first crown to that of ToFret, hollow positive.
type Report struct {
	PullN      float64    `json:"pull_n"` // of all strings
	ToFret     int        `json:"relief_to_fret"`
	JointFret  int        `json:"joint_fret"`
	JointTaken bool       `json:"joint_taken"`
	StiffNM2   [2]float64 `json:"stiffness_n_m2"` // at fret 1 and at the joint
	Factor     Factor     `json:"factor"`
	Free       Free       `json:"rod_loose"` // by the strings alone
	Rod        *Rod       `json:"rod,omitempty"`
	Slack      []Target   `json:"level_slack_to"`
	LooseMM    float64    `json:"loose_zone_mm"` // zone that those of a loose rod lie in
	BackMM     float64    `json:"lies_back_mm"`  // the farthest of those of a rod left as it is strung
	UBackMM    float64    `json:"u_lies_back_mm"`
	Change     *Change    `json:"change,omitempty"`
	Creep      []Crept    `json:"creep"`
}

// Free is what the strings do with the rod loose.
type Free struct {
	ReliefMM float64 `json:"relief_mm"`
	UMM      float64 `json:"u_mm"`
	Fret     int     `json:"deepest_fret"`
	Per100MM float64 `json:"per_100_n_mm"`
	NutMM    float64 `json:"nut_rises_mm"`
	ActionMM float64 `json:"action_rises_mm"`
}

// Rod is what the rod must pull for setup.relief; below 0 it must push.
type Rod struct {
	ReliefMM float64 `json:"relief_mm"`
	PullN    float64 `json:"pull_n"`
	UN       float64 `json:"u_n"`
	BelowMM  float64 `json:"below_board_mm"` // taken
}

// Target is what a crown of the middle lane is to be levelled to slack, off the shape of
// [level] and the straight line through the first and the last, so that strung it is
// where [level] and setup.relief want it.
type Target struct {
	Fret    int     `json:"fret"`
	LooseMM float64 `json:"rod_loose_mm"`     // the rod loose while levelling
	SetMM   float64 `json:"rod_as_strung_mm"` // the rod left as it will be strung; without a rod this counts
	USetMM  float64 `json:"u_mm"`             // of that
}

// Change is what other strings do, the rod left alone.
type Change struct {
	PullN    float64 `json:"pull_n"`
	MoreN    float64 `json:"more_n"`
	ReliefMM float64 `json:"relief_change_mm"`
	UMM      float64 `json:"u_mm"`
	ActionMM float64 `json:"action_change_mm"`
	RodN     float64 `json:"rod_change_n"` // that takes it back; 0 without a rod
}

// Crept is what a long load adds to the relief after the first day.
type Crept struct {
	Days   float64 `json:"days"`
	MeanMM float64 `json:"mean_mm"`
	MostMM float64 `json:"most_mm"`
}

// Report says what strings and rod do to a neck; set are other strings, nil for none. Faults of the
// set come back as a fileerr.List.
func (n *Neck) Report(set []neck.String, f Factor) (*Report, error) {
	to := n.Model.Setup.ReliefTo
	by, at := n.Relief(n.ByStrings, to)
	r := &Report{PullN: n.PullN(), ToFret: to, JointFret: n.Joint, JointTaken: n.Taken, Factor: f,
		StiffNM2: [2]float64{n.Section(n.oneMM).StiffnessNMM2 / 1e6, n.Section(n.jointMM).StiffnessNMM2 / 1e6}}
	r.Free = Free{ReliefMM: f.Mean * by, UMM: f.UNext * by, Fret: at, Per100MM: f.Mean * by / r.PullN * 100, NutMM: f.Mean * n.ByStrings(0), ActionMM: f.Mean * n.Action(n.ByStrings)}
	b := n.Bowed(n.Model.Setup.Relief, to, f)
	rod, _ := n.Relief(n.ByRod, to)
	if n.Model.Body.Rod {
		r.Rod = &Rod{ReliefMM: b.ReliefMM, PullN: b.RodN, UN: b.URodN(), BelowMM: RodBelowMM}
	}
	r.Slack, r.LooseMM = n.targets(b)
	for _, t := range r.Slack {
		if math.Abs(t.SetMM) > math.Abs(r.BackMM) {
			r.BackMM, r.UBackMM = t.SetMM, t.USetMM
		}
	}
	if set != nil {
		other, err := n.With(set)
		if err != nil {
			return nil, err
		}
		more, _ := other.Relief(func(x float64) float64 { return other.ByStrings(x) - n.ByStrings(x) }, to)
		r.Change = &Change{PullN: other.PullN(), MoreN: other.PullN() - r.PullN, ReliefMM: f.Mean * more, UMM: f.UNext * math.Abs(more),
			ActionMM: f.Mean * (other.Action(other.ByStrings) - n.Action(n.ByStrings))}
		if r.Rod != nil {
			r.Change.RodN = more / rod
		}
	}
	held := n.Model.Setup.Relief
	if r.Rod == nil {
		held = r.Free.ReliefMM
	}
	for _, days := range []float64{30, 90} {
		mean, most := Creep(days)
		r.Creep = append(r.Creep, Crept{days, mean * held, most * held})
	}
	return r, nil
}

// targets are what to level slack: what is wanted strung, less what stringing does. With
// the rod loose before, that is the whole bow; left as it is, the strings' own.
func (n *Neck) targets(b Bow) (out []Target, looseMM float64) {
	l, lane := n.Layout, n.middle()
	var x, loose, set, by []float64
	for f := l.FirstFret(); f <= l.LastFret(); f++ {
		at := l.At(f, lane).X
		want := b.ReliefMM * l.StrungBow(f, lane)
		x, by = append(x, l.LaneX(f, lane)), append(by, n.ByStrings(at))
		loose, set = append(loose, want-b.rise(at)), append(set, want-b.Factor.Mean*n.ByStrings(at))
		out = append(out, Target{Fret: f})
	}
	for _, z := range [][]float64{loose, set, by} {
		chord(x, z)
	}
	for i := range out {
		out[i].LooseMM, out[i].SetMM, out[i].USetMM = loose[i], set[i], b.Factor.UNext*math.Abs(by[i])
	}
	return out, spread(x, loose)
}

// chord takes the straight line through the first and the last out of values.
func chord(x, z []float64) {
	last := len(x) - 1
	if last < 1 {
		return
	}
	z0, slope := z[0], (z[last]-z[0])/(x[last]-x[0])
	for i := range z {
		z[i] -= z0 + slope*(x[i]-x[0])
	}
}

// spread is how far values lie apart at most, off their straight line of least squares.
func spread(x, z []float64) float64 {
	d := append([]float64(nil), z...)
	num.Detrend(x, d)
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range d {
		low, high = math.Min(low, v), math.Max(high, v)
	}
	return high - low
}
