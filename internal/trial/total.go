package trial

import "ringtrue/internal/straight"

func (c *Count) plus(o Count) { c.Found, c.Of = c.Found+o.Found, c.Of+o.Of }

// plus adds the counts of another neck.
func (s *Score) plus(o Score) {
	s.Dents.plus(o.Dents)
	s.Frets.plus(o.Frets)
	s.Kinds.plus(o.Kinds)
	s.Wholes.plus(o.Wholes)
	s.Loose.plus(o.Loose)
	s.Passes.plus(o.Passes)
	s.Misread.plus(o.Misread)
	s.Crowns.plus(o.Crowns)
	s.Invented += o.Invented
	s.SoundFrets += o.SoundFrets
	s.BlamedFrets += o.BlamedFrets
	s.Lanes += o.Lanes
	s.WrongLevel += o.WrongLevel
	s.WrongNot += o.WrongNot
	s.Doubt += o.Doubt
	s.AsideSure += o.AsideSure
	s.UndeterminedCrowns += o.UndeterminedCrowns
	s.Blamed = append(s.Blamed, o.Blamed...)
	s.FalseWork = append(s.FalseWork, o.FalseWork...)
}

// judged counts the neck's own verdict.
func (t *Total) judged(s Score) {
	if len(s.Blamed)+len(s.FalseWork) > 0 {
		t.BlamedNecks++
	}
	switch {
	case s.IsLevel:
		t.LevelNecks.add(s.Verdict == straight.Level)
		if s.Verdict == straight.InDoubt {
			t.LevelDoubt++
		}
	case s.Verdict == straight.Level:
		t.WrongNecks++
	}
}
