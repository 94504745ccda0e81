package relief

import (
	"math"

	"ringtrue/internal/fileerr"
	"ringtrue/internal/geometry"
	"ringtrue/internal/material"
	"ringtrue/internal/neck"
	"ringtrue/internal/play"
	"ringtrue/internal/stringset"
)

// RodBelowMM is how far under the board the middle of a straight rod lies: no key says
// it. From memory: a channel some 10 to 12 mm deep in the neck, a rod of 5 to 6 mm at
// its floor.
const RodBelowMM = 8

// rodDoubtMM is the standard uncertainty of that: an estimate, half of what channels
// differ by.
const rodDoubtMM = 1

// Neck is a neck as a beam, and what pulls at it.
type Neck struct {
	Model   neck.Model
	Layout  *geometry.Layout
	Pulls   []Pull // of each string, string 1 first
	Joint   int    // the fret that it is clamped at
	Taken   bool   // the joint was not given: where setup.relief ends is taken
	Board   string // the woods as found, and their modulus along the grain in MPa
	Body    string
	boardE  float64
	bodyE   float64
	jointMM float64
	oneMM   float64 // fret 1 on the centre line
}

// Pull is what one string does.
type Pull struct {
	ForceN float64
	nutMM  float64 // its middle over the board's top at x = 0
	slope  float64 // by which that rises along the neck
}

// Of makes a beam of a neck with its own strings. Faults come back as a fileerr.List
// whose faults name a key of the neck file.
func Of(m neck.Model, l *geometry.Layout) (*Neck, error) {
	n := &Neck{Model: m, Layout: l, Joint: m.Body.Joint}
	if n.Joint == 0 {
		n.Joint, n.Taken = m.Setup.ReliefTo, true
	}
	var faults fileerr.List
	if m.Body.Thickness[0] == 0 {
		faults.Add("", 0, "neck.thickness", `is missing; add it, for example thickness = ["21 mm", "23 mm"] at fret 1 and at the joint, board included`)
	} else if min(m.Body.Thickness[0], m.Body.Thickness[1]) <= m.Board.Thickness {
		faults.Add("", 0, "neck.thickness", "%g mm leaves no neck under a board of %g mm; it includes the board", min(m.Body.Thickness[0], m.Body.Thickness[1]), m.Board.Thickness)
	}
	if m.Body.Wood == "" {
		faults.Add("", 0, "neck.wood", `is missing; add it, for example wood = "maple"`)
	} else {
		n.Body, n.bodyE = modulus(m.Body.Wood, "neck.wood", &faults)
	}
	n.Board, n.boardE = modulus(m.Board.Wood, "board.wood", &faults)
	n.pulls(m.Strings.Set, &faults)
	n.jointMM, n.oneMM = l.CentreX(n.Joint), l.CentreX(1)
	if err := faults.Err(); err != nil {
		return nil, err
	}
	return n, n.bends()
}

// bends finds fault with a joint so near the nut that no crown between the first and the
// relief's end moves by rod or strings: nothing could be divided by that.
func (n *Neck) bends() error {
	var faults fileerr.List
	to := n.Model.Setup.ReliefTo
	by, _ := n.Relief(n.ByStrings, to)
	rod, _ := n.Relief(n.ByRod, to)
	switch {
	case by <= 0:
		faults.Add("", 0, "neck.joint", "with the neck held at fret %d the strings bend no crown up to fret %d; write the fret at the body", n.Joint, to)
	case n.Model.Body.Rod && rod <= 0:
		faults.Add("", 0, "neck.joint", "with the neck held at fret %d no rod bends it back up to fret %d; write the fret at the body", n.Joint, to)
	}
	return faults.Err()
}

// modulus finds a wood and how stiff it is along the grain.
func modulus(wood, key string, faults *fileerr.List) (string, float64) {
	w, err := material.FindWood(wood)
	switch {
	case err != nil:
		faults.Add("", 0, key, "%v", err)
	case !w.Species.ModulusMPa.Given():
		faults.Add("", 0, key, "no stiffness is published here for %s; write the nearest wood that has one (ringtrue wood --list)", w.Species.Name)
	default:
		return w.Species.Name, w.Species.ModulusMPa.Mid()
	}
	return "", 0
}

// With is the neck under another set of strings at the neck's own heights.
func (n *Neck) With(set []neck.String) (*Neck, error) {
	other := *n
	other.Pulls = nil
	var faults fileerr.List
	other.pulls(set, &faults)
	return &other, faults.Err()
}

// pulls tunes strings and lays them over the board as [setup] wants them: crown,
// underside of the open string, half its gauge.
func (n *Neck) pulls(set []neck.String, faults *fileerr.List) {
	at := play.ActionFret(n.Layout)
	for i, s := range set {
		scale := n.Layout.LaneScale(float64(i + 1))
		t, err := stringset.Tune(s, scale, stringset.ConcertA)
		if err != nil {
			faults.Add("", 0, "strings.set", "string %d: %s", i+1, err)
			continue
		}
		setup := play.SetupOf(n.Model, n.Layout, i+1, 0)
		x, low, over := 0.0, setup.NutMM, n.Layout.CentreX(at)
		if setup.ByGap {
			x, low = n.Layout.CentreX(1), setup.NutGapMM
		}
		p := Pull{ForceN: t.TensionN}
		if over > x {
			p.slope = (setup.ActionMM - low) / (over - x)
		}
		p.nutMM = n.Model.Wire.CrownHeight + low - p.slope*x + s.Gauge/2
		n.Pulls = append(n.Pulls, p)
	}
}

// PullN is what all strings pull together.
func (n *Neck) PullN() (sum float64) {
	for _, p := range n.Pulls {
		sum += p.ForceN
	}
	return sum
}

// thickness is straight between fret 1 and the joint, and the nearer of the two outside.
func (n *Neck) thickness(x float64) float64 {
	t := 0.0
	if n.jointMM > n.oneMM {
		t = math.Max(0, math.Min(1, (x-n.oneMM)/(n.jointMM-n.oneMM)))
	}
	return n.Model.Body.Thickness[0] + t*(n.Model.Body.Thickness[1]-n.Model.Body.Thickness[0])
}

// Section is the neck's at x on the centre line.
func (n *Neck) Section(x float64) Section {
	b, w := n.Model.Board.Thickness, n.Layout.Width(x)
	return SectionOf(Rectangle(0, w, b, n.boardE), HalfEllipse(b, w, n.thickness(x)-b, n.bodyE))
}

// Moment is what the strings bend the neck by at x, N mm.
func (n *Neck) Moment(x float64) (sum float64) {
	axis := n.Section(x).AxisMM
	for _, p := range n.Pulls {
		sum += p.ForceN * (p.nutMM + p.slope*x + axis)
	}
	return sum
}

// ByStrings is how far the strings alone raise the neck at x, mm.
func (n *Neck) ByStrings(x float64) float64 {
	return Rise(x, n.jointMM, func(u float64) float64 { return n.Moment(u) / n.Section(u).StiffnessNMM2 })
}

// ByRod is how far a pull of 1 N in the rod lowers it, mm.
func (n *Neck) ByRod(x float64) float64 {
	return Rise(x, n.jointMM, func(u float64) float64 {
		s := n.Section(u)
		return (n.Model.Board.Thickness + RodBelowMM - s.AxisMM) / s.StiffnessNMM2
	})
}

// rodArm is the rod's lever under the axis, half-way to the joint, mm.
func (n *Neck) rodArm() float64 {
	return n.Model.Board.Thickness + RodBelowMM - n.Section(n.jointMM/2).AxisMM
}

// Action is how much higher a rise lifts the strings over the action's fret, mm: nut and
// crown move, the saddle stays.
func (n *Neck) Action(rise func(x float64) float64) float64 {
	x := n.Layout.CentreX(play.ActionFret(n.Layout))
	return rise(0)*(1-x/n.Layout.LaneScale(n.middle())) - rise(x)
}
