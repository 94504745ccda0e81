package book

// InState are the places of the records in force whose readings were all taken in a
// state of the neck.
func InState(records []Record, state string) (at []int) {
	for i, r := range records {
		if r.CorrectedBy == 0 && r.Derived.States == state {
			at = append(at, i)
		}
	}
	return at
}

// Nearest is the place of the latest record in that state before a record, else of the
// first after it; −1 where there is none.
func Nearest(records []Record, i int, state string) int {
	best := -1
	for _, k := range InState(records, state) {
		switch {
		case k < i:
			best = k
		case k > i && best < 0:
			return k
		}
	}
	return best
}
