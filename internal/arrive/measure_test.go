package arrive

// What tests alone measure.

// LevelNow reports whether the readings before already call every lane level as
// it is, by the same rule.
func (o *Outlook) LevelNow() bool {
	for a := range o.lanes {
		k := &o.lanes[a]
		if len(k.x) == 0 {
			continue
		}
		f := &ahead{lane: k}
		f.triples(k.cov)
		if !f.level(k.d, o.ask.LimitMM) {
			return false
		}
	}
	return true
}
