package answer

import "slices"

// leastSandMM is the least that is told to be sanded off: less rounds to nothing
// in hundredths of a millimetre.
const leastSandMM = 0.005

// BoardSandRow is what to sand off behind one slot, in mm, a value a lane; 0
// where nothing is.
type BoardSandRow struct {
	Slot     int
	RemoveMM []float64
}

// SandList lists what to sand off behind each slot: the lanes, and a row for each
// slot where one of them loses wood.
func (a *BoardAnswer) SandList() (lanes []float64, rows []BoardSandRow) {
	if a.Sanding == nil {
		return nil, nil
	}
	bySlot := map[int]*BoardSandRow{}
	var slots []int
	for i, l := range a.Sanding.Lanes {
		lanes = append(lanes, l.Lane)
		for _, s := range l.Sand {
			if s.RemoveMM < leastSandMM {
				continue
			}
			if bySlot[s.Fret] == nil {
				bySlot[s.Fret] = &BoardSandRow{Slot: s.Fret, RemoveMM: make([]float64, len(a.Sanding.Lanes))}
				slots = append(slots, s.Fret)
			}
			bySlot[s.Fret].RemoveMM[i] = s.RemoveMM
		}
	}
	slices.Sort(slots)
	for _, f := range slots {
		rows = append(rows, *bySlot[f])
	}
	return lanes, rows
}
