package answer

import (
	"ringtrue/internal/findings"
	"ringtrue/internal/geometry"
	"ringtrue/internal/level"
	"ringtrue/internal/neck"
	"ringtrue/internal/reading"
	"ringtrue/internal/relief"
	"ringtrue/internal/text"
)

// StrungShape is the bow that readings taken strung were judged with.
type StrungShape struct {
	ReliefMM float64 `json:"relief_mm"`   // setup.relief
	ToFret   int     `json:"to_fret"`     // where it ends
	PullN    float64 `json:"pull_n"`      // of all strings
	RodN     float64 `json:"rod_n"`       // that leaves the relief; 0 without a rod
	MovesMM  float64 `json:"shape_u_mm"`  // what the theory's doubt moves a crown by at most
	Joint    int     `json:"joint_fret"`  // where the neck is clamped
	Taken    bool    `json:"joint_taken"` // neck.joint was not given
	Words    string  `json:"rests_on_words"`
}

// bowOf is the bow of a neck with its own strings and the relief that [setup] wants.
func bowOf(m neck.Model, l *geometry.Layout) (*relief.Neck, *relief.Bow, error) {
	n, err := relief.Of(m, l)
	if err != nil {
		return nil, nil, err
	}
	b := n.Bowed(m.Setup.Relief, m.Setup.ReliefTo, relief.Theory())
	return n, &b, nil
}

// underStrings is the layout that readings are judged by: with the strings' bow where all
// were taken strung and level.strung asks for it, else as it is and no bow.
func underStrings(m neck.Model, l *geometry.Layout, readings []reading.Reading) (*geometry.Layout, *relief.Bow, error) {
	if !m.Level.Strung || level.StateOf(readings) != reading.Strung {
		return l, nil, nil
	}
	_, b, err := bowOf(m, l)
	if err != nil {
		return nil, nil, err
	}
	return l.Strung(b.Along), b, nil
}

// strungShape tells of the bow that a neck was judged with; nil where there was none.
func strungShape(n *findings.Neck) *StrungShape {
	if !n.Layout.IsStrung() {
		return nil
	}
	of, b, err := bowOf(n.Model, n.Layout)
	if err != nil {
		return nil
	}
	s := &StrungShape{ReliefMM: b.ReliefMM, ToFret: b.To, PullN: of.PullN(), RodN: b.RodN, MovesMM: b.Moves(), Joint: of.Joint, Taken: of.Taken}
	s.Words = text.StrungShape(*b)
	return s
}
