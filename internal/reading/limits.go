package reading

// Limits on what one answer is worked out from. Every pass has an offset and a
// tilt of its own, and each is weighed beside all others: at these limits a neck of
// six lanes is answered within 5 s on two cores, at twice as many passes it is not
// (measured on 2026-11-29; its time goes with the third power of the passes). Three
// passes in each of eighteen lanes and as many between are within them.
const (
	MaxPasses  = 120 // that share an offset and a tilt, or a frame
	MaxLanes   = 40  // 18 whole ones, as many between, and some to spare
	MaxOfCrown = 60  // readings of one crown: beyond, they would have no part in it
)

// limited notes what a new file has too much of to be judged at once.
func (p *parser) limited() {
	if !p.bounds.New || p.Faults() > 0 { // other faults come first
		return
	}
	passes, lanes, crowns := map[Setup]bool{}, map[float64]bool{}, map[at]int{}
	var most at
	for i := range p.readings {
		r := &p.readings[i]
		s := r.Method.Spec()
		if s.SetUp != NoSetUp {
			passes[r.Setup()] = true
		}
		if s.SetUp == Frame || s.Rank == 0 || len(r.Frets) <= s.Told {
			continue // it names no crown, or a wrong one
		}
		c := at{r.Frets[s.Told], r.Lane}
		lanes[r.Lane] = true
		if crowns[c]++; crowns[c] > crowns[most] {
			most = c
		}
	}
	switch {
	case len(lanes) > MaxLanes:
		p.FaultOfFile(0, "", "%d lanes; at most %d can be judged at once. Leave out some of the lanes between strings", len(lanes), MaxLanes)
	case len(passes) > MaxPasses:
		p.FaultOfFile(0, "", "%d passes over all lanes; at most %d can be judged. Join those of one set-up, or leave out old ones", len(passes), MaxPasses)
	case crowns[most] > MaxOfCrown:
		p.FaultOfFile(0, "", "fret %d, lane %g has %d readings; at most %d of one crown can be judged at once. Leave out old passes", most.fret, most.lane, crowns[most], MaxOfCrown)
	}
}

// at is a crown.
type at struct {
	fret int
	lane float64
}
