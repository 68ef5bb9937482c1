package stackup

import (
	"encoding/json"
	"fmt"
	"math"

	"example.com/borestack/fault"
)

// accumulatorFormat is the form of a serialised accumulator.
const accumulatorFormat = "borestack-accumulator/1"

// stored is an accumulator as it is serialised, floats by their IEEE 754 bits.
type stored struct {
	Format        string
	Seed, Samples uint64
	Stream        int
	Names         []string   // of the responses
	Shapes        [][]uint64 // of every response its centre, good samples, those below and above all numbers, then place and count of every bucket that holds any
	Trees         [][]uint64 // of every subtree its level and index, then the moments of every response
}

// ofShape is how many numbers a shape has before its buckets; ofMoments how many moments have.
const (
	ofShape   = 4
	ofMoments = 9
)

// MarshalBinary writes the accumulator. Equal accumulators give equal bytes, however they were run and merged.
//
// The form is JSON: format, seed, samples and stream version; and lists of integers for every response and every subtree
// of blocks, with the IEEE 754 bits of floats.
func (t *Accumulator) MarshalBinary() ([]byte, error) {
	s := stored{Format: accumulatorFormat, Seed: t.Seed, Samples: t.total, Stream: t.Stream, Names: t.names}
	for i := range t.shapes {
		h := &t.shapes[i]
		row := []uint64{math.Float64bits(h.centre), t.good[i], h.under, h.over}
		for k, n := range h.counts {
			if n > 0 {
				row = append(row, uint64(h.from+k), n)
			}
		}
		s.Shapes = append(s.Shapes, row)
	}
	for i := range t.trees {
		q := &t.trees[i]
		row := []uint64{q.Level, q.Index}
		for k := range q.Of {
			m := &q.Of[k]
			for _, v := range m.floats() {
				row = append(row, math.Float64bits(*v))
			}
			row = append(row, m.LeastAt, m.MostAt)
		}
		s.Trees = append(s.Trees, row)
	}
	return json.Marshal(s)
}

// floats are the moments' numbers but for the places of the extremes.
func (a *moments) floats() [ofMoments - 2]*float64 {
	return [...]*float64{&a.N, &a.Mean, &a.S2, &a.S3, &a.S4, &a.Least, &a.Most}
}

// UnmarshalBinary reads what [Accumulator.MarshalBinary] wrote. It returns a [fault.FieldError] for anything else; the accumulator is then unchanged.
func (t *Accumulator) UnmarshalBinary(data []byte) error {
	var s stored
	if err := json.Unmarshal(data, &s); err != nil || s.Format != accumulatorFormat {
		return fault.At("accumulator", "other bytes", "some in the format "+accumulatorFormat, fault.ErrSyntax)
	}
	n := len(s.Names)
	out := Accumulator{Seed: s.Seed, Stream: s.Stream, names: s.Names, total: s.Samples, shapes: make([]histogram, n), good: make([]uint64, n)}
	whole := len(s.Shapes) == n
	for i := 0; whole && i < n; i++ {
		h, row := &out.shapes[i], s.Shapes[i]
		if whole = len(row) >= ofShape && len(row)%2 == 0; whole {
			h.centre, out.good[i], h.under, h.over = math.Float64frombits(row[0]), row[1], row[2], row[3]
			whole = h.take(row[ofShape:])
		}
	}
	for i := 0; whole && i < len(s.Trees); i++ {
		row := s.Trees[i]
		if whole = len(row) == 2+ofMoments*n && row[0] <= 62 && row[1] <= 1<<(62-row[0]); whole {
			whole = out.insert(tree{row[0], row[1], momentsFrom(row[2:])})
		}
	}
	if !whole {
		return fault.At("accumulator", fmt.Sprintf("%d damaged bytes", len(data)), "them as they were written", fault.ErrSyntax)
	}
	*t = out
	return nil
}

// take reads places and counts of buckets; false: one is out of range.
func (h *histogram) take(list []uint64) bool {
	for k := 0; k < len(list); k += 2 {
		if list[k] >= 2*buckets {
			return false
		}
		h.reach(int(list[k]))
		h.counts[int(list[k])-h.from] = list[k+1]
	}
	return true
}

// momentsFrom reads the moments of a subtree.
func momentsFrom(list []uint64) []moments {
	out := make([]moments, len(list)/ofMoments)
	for k := range out {
		m, row := &out[k], list[ofMoments*k:]
		for i, v := range m.floats() {
			*v = math.Float64frombits(row[i])
		}
		m.LeastAt, m.MostAt = row[ofMoments-2], row[ofMoments-1]
	}
	return out
}
