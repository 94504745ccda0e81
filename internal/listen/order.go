package listen

// Wanted is a note to play.
type Wanted struct {
	String, Fret int
	Hz           float64 // in equal temperament
}

// Wanted are the notes that a request asks for, in the order they are played. Errors:
// strings or frets that the neck has not.
func (r Request) Wanted() ([]Wanted, error) {
	all, err := r.stops()
	if err != nil {
		return nil, err
	}
	out := make([]Wanted, len(all))
	for i, s := range all {
		out[i] = Wanted(s)
	}
	return out, nil
}
