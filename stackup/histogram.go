package stackup

import (
	"math"
	"sort"
)

// A histogram counts deviations from a centre in buckets that are equal shares of an octave: whatever the scale of an output, a bucket is at most 2⁻⁸ of its deviation wide, and counts add up in any order.
type histogram struct {
	centre float64
	counts []uint64 // grown as needed; bucket b of the positive side at 2b, of the negative at 2b+1
	under  uint64   // −Inf
	over   uint64   // +Inf
}

const (
	shareBits   = 8    // an octave has 2⁸ buckets
	leastOctave = -100 // smaller deviations are counted with these
	mostOctave  = 100  // greater ones with these
	perOctave   = 1 << shareBits
	buckets     = (mostOctave - leastOctave) * perOctave
	lowestBits  = uint64(leastOctave+1023) << shareBits
)

// add counts one value.
func (h *histogram) add(y float64) {
	b, negative := bucketOf(y - h.centre)
	switch {
	case b >= 0:
		i := 2*b + negative
		if i >= len(h.counts) {
			h.grow(i)
		}
		h.counts[i]++
	case y > 0:
		h.over++
	default:
		h.under++
	}
}

func (h *histogram) grow(i int) {
	n := min(2*buckets, (i/(2*perOctave)+2)*2*perOctave)
	wide := make([]uint64, n)
	copy(wide, h.counts)
	h.counts = wide
}

// bucketOf is the bucket of a deviation and 1 for its negative side; −1 when it is infinite.
func bucketOf(d float64) (b, negative int) {
	bits := math.Float64bits(d)
	negative = int(bits >> 63)
	bits &= 1<<63 - 1
	if bits >= 0x7ff<<52 {
		return -1, negative
	}
	return int(min(max(bits>>(52-shareBits), lowestBits)-lowestBits, buckets-1)), negative
}

// edges returns the ends of a bucket's deviation, nearest zero first; the lowest begins at 0.
func edges(b int) (near, far float64) {
	at := func(b int) float64 {
		return math.Float64frombits((uint64(b) + lowestBits) << (52 - shareBits))
	}
	if b == 0 {
		return 0, at(1)
	}
	return at(b), at(b + 1)
}

// join adds another histogram with the same centre.
func (h *histogram) join(o *histogram) {
	if len(o.counts) > len(h.counts) {
		h.grow(len(o.counts) - 1)
	}
	for i, c := range o.counts {
		h.counts[i] += c
	}
	h.under += o.under
	h.over += o.over
}

// cell is a bucket in ascending order of value.
type cell struct {
	low, high float64
	before    uint64 // samples below it
	count     uint64
}

// cells lists the buckets that hold samples.
func (h *histogram) cells() []cell {
	var out []cell
	for i := len(h.counts) - 1; i >= 0; i-- {
		if i&1 == 1 && h.counts[i] > 0 {
			near, far := edges(i / 2)
			out = append(out, cell{h.centre - far, h.centre - near, 0, h.counts[i]})
		}
	}
	for i := 0; i < len(h.counts); i += 2 {
		if h.counts[i] > 0 {
			near, far := edges(i / 2)
			out = append(out, cell{h.centre + near, h.centre + far, 0, h.counts[i]})
		}
	}
	before := h.under
	for i := range out {
		out[i].before = before
		before += out[i].count
	}
	return out
}

// quantile interpolates the value below which a share p of n samples lies; the samples within a bucket are taken as evenly spread, the extremes as they are.
func quantile(cells []cell, n, under, p float64, least, most float64) float64 {
	rank := p * n
	if len(cells) == 0 || rank < under {
		if under > 0 {
			return math.Inf(-1)
		}
		return math.Inf(1)
	}
	i := sort.Search(len(cells), func(i int) bool { return float64(cells[i].before+cells[i].count) >= rank })
	if i == len(cells) {
		return math.Inf(1)
	}
	c := cells[i]
	low, high := math.Max(c.low, least), math.Min(c.high, most)
	return low + (high-low)*math.Min(math.Max((rank-float64(c.before))/float64(c.count), 0), 1)
}
