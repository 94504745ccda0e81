package kernel

// Path is the code that does the arithmetic.
type Path uint8

// The paths, each quicker than the one before it.
const (
	Plain  Path = iota // Go
	AVX2               // four numbers at a time, with fused multiply-add
	AVX512             // eight
)

func (p Path) String() string { return [...]string{"plain", "AVX2", "AVX-512"}[p] }

// Paths lists those that this processor can take; Plain is always there.
func Paths() []Path {
	paths := []Path{Plain}
	for _, p := range []Path{AVX2, AVX512} {
		if p.here() {
			paths = append(paths, p)
		}
	}
	return paths
}

// Best is the quickest path that this processor can take.
func Best() Path {
	switch {
	case AVX512.here():
		return AVX512
	case AVX2.here():
		return AVX2
	}
	return Plain
}

// Block is the count that the vector code works in. Slices whose length is a
// multiple of it (filled up with zeros) have no remainder for the plain code.
const Block = 8

// Padded is n rounded up to a multiple of Block.
func Padded(n int) int { return (n + Block - 1) &^ (Block - 1) }

// Ahead is how many heights LookAhead gives.
const Ahead = 8

// Complex is complex numbers in two halves of one length.
type Complex struct{ Re, Im []float64 }

// First is the first n of them.
func (c *Complex) First(n int) Complex { return Complex{c.Re[:n], c.Im[:n]} }

// Copy puts others into the first places.
func (c *Complex) Copy(from Complex) {
	copy(c.Re, from.Re)
	copy(c.Im, from.Im)
}
