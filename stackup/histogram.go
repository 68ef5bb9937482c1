package stackup

import (
	"math"
	"math/bits"
)

// A histogram counts deviations from a centre in buckets that are equal shares of an octave: whatever the scale of an output, a bucket is at most 2⁻⁸ of its deviation wide, and counts add up in any order.
type histogram struct {
	centre float64
	from   int      // the place of counts[0]: bucket b of the positive side has place 2b, of the negative 2b+1
	counts []uint64 // of whole octaves, as many as are needed
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

// add counts the values of a column. Most fall within the octaves that are held: their places are read off their bits.
func (h *histogram) add(y []float64) {
	centre, counts := h.centre, h.counts
	first := 2*int(lowestBits) + h.from
	for _, v := range y {
		b := bits.RotateLeft64(math.Float64bits(v-centre), 1) // the sign last
		i := int(b>>(52-shareBits)&^1|b&1) - first
		if uint(i) < uint(len(counts)) {
			counts[i]++
			continue
		}
		h.addFar(v)
		counts, first = h.counts, 2*int(lowestBits)+h.from
	}
}

// addFar counts a value that is infinite or outside the octaves held.
func (h *histogram) addFar(v float64) {
	b, negative := bucketOf(v - h.centre)
	switch {
	case b >= 0:
		h.reach(2*b + negative)
		h.counts[2*b+negative-h.from]++
	case v > 0:
		h.over++
	default:
		h.under++
	}
}

// reach makes the counts hold a place, and doubles them at least when it must move them.
func (h *histogram) reach(place int) {
	octave := place &^ (2*perOctave - 1)
	n := len(h.counts)
	from, to := h.from, h.from+n
	switch {
	case n == 0:
		from, to = octave, octave+2*perOctave
	case place < from:
		from = max(min(octave, from-n), 0)
	case place >= to:
		to = min(max(octave+2*perOctave, to+n), 2*buckets)
	default:
		return
	}
	wide := make([]uint64, to-from)
	if n > 0 {
		copy(wide[h.from-from:], h.counts)
	}
	h.from, h.counts = from, wide
}

// bucketOf is the bucket of a deviation and 1 for its negative side; −1 when it is infinite.
func bucketOf(d float64) (b, negative int) {
	word := math.Float64bits(d)
	negative = int(word >> 63)
	word &= 1<<63 - 1
	if word >= 0x7ff<<52 {
		return -1, negative
	}
	return int(min(max(word>>(52-shareBits), lowestBits)-lowestBits, buckets-1)), negative
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
	if len(o.counts) > 0 {
		h.reach(o.from)
		h.reach(o.from + len(o.counts) - 1)
	}
	for i, c := range o.counts {
		h.counts[o.from-h.from+i] += c
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
	for i := len(h.counts) - 1; i >= 0; i-- { // octaves begin at an even place
		if i&1 == 1 && h.counts[i] > 0 {
			near, far := edges((h.from + i) / 2)
			out = append(out, cell{h.centre - far, h.centre - near, 0, h.counts[i]})
		}
	}
	for i := 0; i < len(h.counts); i += 2 {
		if h.counts[i] > 0 {
			near, far := edges((h.from + i) / 2)
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
