package drift

import (
	"context"
	"time"
)

// Necks are Heights in memory.
type Necks []Neck

// Len is how many there are.
func (n Necks) Len() int { return len(n) }

// Label is a neck's serial.
func (n Necks) Label(neck int) string { return n[neck].Label }

// Date is when it was read.
func (n Necks) Date(neck int) time.Time { return n[neck].Date }

// Tags are its tags.
func (n Necks) Tags(neck int) map[string]string { return n[neck].Tags }

// Tag is one of them.
func (n Necks) Tag(neck int, tag string) string { return n[neck].Tags[tag] }

// Shapes is Heights'.
func (n Necks) Shapes(fn func(neck int, s *Shape)) {
	for i := range n {
		fn(i, n[i].Shape)
	}
}

// Fret is Heights'.
func (n Necks) Fret(ctx context.Context, fret int, fn func(necks []int32, s *Shape, steps []int16)) error {
	var at []int16
	var necks []int32
	for i := range n {
		s := n[i].Shape
		if len(n[i].Steps) != s.Frets*len(s.Lanes) {
			panic("drift: a neck's heights do not fit its shape")
		}
		f := fret - s.FirstFret
		if f < 0 || f >= s.Frets {
			continue
		}
		necks = append(necks, int32(i))
		for l := range s.Lanes {
			at = append(at, n[i].Steps[l*s.Frets+f])
		}
		if i+1 == len(n) || n[i+1].Shape != s {
			fn(necks, s, at)
			necks, at = necks[:0], at[:0]
		}
	}
	return ctx.Err()
}
