package book

import (
	"iter"
	"maps"
	"math/bits"
	"slices"
)

// NumberSet is a set of record numbers above 0, a bit each: ten million take
// 1.3 MB. Its zero value is empty.
type NumberSet struct{ blocks map[int64]*NumberBlock }

// BlockNumbers is how many numbers lie in a block: block b has those from
// b·BlockNumbers on.
const BlockNumbers = 4096

// NumberBlock is one block's bits, the lowest number first.
type NumberBlock [BlockNumbers / 8]byte

// Add puts a number in.
func (s *NumberSet) Add(n int64) {
	i := n % BlockNumbers
	s.block(n / BlockNumbers)[i/8] |= 1 << (i % 8)
}

// AddBlock puts a block's numbers in.
func (s *NumberSet) AddBlock(block int64, b *NumberBlock) {
	to := s.block(block)
	for i := range b {
		to[i] |= b[i]
	}
}

func (s *NumberSet) block(block int64) *NumberBlock {
	if s.blocks == nil {
		s.blocks = map[int64]*NumberBlock{}
	}
	b := s.blocks[block]
	if b == nil {
		b = new(NumberBlock)
		s.blocks[block] = b
	}
	return b
}

// Has reports whether a number is in it.
func (s *NumberSet) Has(n int64) bool {
	b := s.blocks[n/BlockNumbers]
	return b != nil && b.has(n%BlockNumbers)
}

func (b *NumberBlock) has(i int64) bool { return b[i/8]&(1<<(i%8)) != 0 }

// Remove takes a block's number out.
func (b *NumberBlock) Remove(n int64) {
	i := n % BlockNumbers
	b[i/8] &^= 1 << (i % 8)
}

// Len is how many numbers are in it.
func (s *NumberSet) Len() int {
	n := 0
	for _, b := range s.blocks {
		for _, x := range b {
			n += bits.OnesCount8(x)
		}
	}
	return n
}

// Blocks gives the blocks that were put in, in order of numbers.
func (s *NumberSet) Blocks() iter.Seq2[int64, *NumberBlock] {
	return func(yield func(int64, *NumberBlock) bool) {
		for _, k := range slices.Sorted(maps.Keys(s.blocks)) {
			if !yield(k, s.blocks[k]) {
				return
			}
		}
	}
}

// Down gives the numbers, the highest first.
func (s *NumberSet) Down() iter.Seq[int64] {
	return func(yield func(int64) bool) {
		keys := slices.Sorted(maps.Keys(s.blocks))
		slices.Reverse(keys)
		for _, k := range keys {
			for i := int64(BlockNumbers - 1); i >= 0; i-- {
				if s.blocks[k].has(i) && !yield(k*BlockNumbers+i) {
					return
				}
			}
		}
	}
}

// Missing narrows a stretch of numbers to its first and last that are not in the
// set; false where all are.
func (s *NumberSet) Missing(from, to int64) (first, last int64, some bool) {
	for from <= to && s.Has(from) {
		from++
	}
	for from <= to && s.Has(to) {
		to--
	}
	return from, to, from <= to
}

// HasBetween reports whether any number of a stretch is in it.
func (s *NumberSet) HasBetween(from, to int64) bool {
	for n := from; n <= to; n++ {
		if s.Has(n) {
			return true
		}
	}
	return false
}
