package job

// leastSandMM is the least that is told to be sanded off: less rounds to nothing
// in hundredths of a millimetre.
const leastSandMM = 0.005

// BoardSandRow is what to sand off behind one slot, in mm, a value a lane; 0
// where nothing is.
type BoardSandRow struct {
	Slot     int
	RemoveMM []float64
}

// SandList lists what to sand off behind each slot: the lanes that are not
// straight, and a row for each slot where one of them loses wood.
func (a *BoardAnswer) SandList() (lanes []float64, rows []BoardSandRow) {
	var of []map[int]float64
	last := 0
	for _, l := range a.Lanes {
		if len(l.Sand) == 0 {
			continue
		}
		bySlot := map[int]float64{}
		for _, s := range l.Sand {
			bySlot[s.Fret] = s.RemoveMM
			last = max(last, s.Fret)
		}
		lanes, of = append(lanes, l.Lane), append(of, bySlot)
	}
	if len(lanes) == 0 {
		return nil, nil
	}
	for slot := range last + 1 {
		row, any := BoardSandRow{Slot: slot, RemoveMM: make([]float64, len(lanes))}, false
		for i, bySlot := range of {
			if mm := bySlot[slot]; mm >= leastSandMM {
				row.RemoveMM[i], any = mm, true
			}
		}
		if any {
			rows = append(rows, row)
		}
	}
	return lanes, rows
}
