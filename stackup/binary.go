package stackup

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"

	"example.com/borestack/fault"
)

// accumulatorMagic begins a serialised accumulator.
const accumulatorMagic = "borestack-tally/1\n"

// MarshalBinary writes the accumulator. Equal accumulators give equal bytes, however they were run and merged.
//
// The form: the magic line; seed, stream version and samples; the number of responses and for each its name, centre, good samples, infinite samples and buckets (place, count) that hold any; the number of subtrees and for each its level, index and moments. Integers are unsigned varints, numbers their IEEE 754 bits, little-endian.
func (t *Accumulator) MarshalBinary() ([]byte, error) {
	b := []byte(accumulatorMagic)
	integer := func(v uint64) { b = binary.AppendUvarint(b, v) }
	number := func(v float64) { b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v)) }
	integer(t.Seed)
	integer(uint64(t.Stream))
	integer(t.total)
	integer(uint64(len(t.names)))
	for i, name := range t.names {
		h := &t.shapes[i]
		integer(uint64(len(name)))
		b = append(b, name...)
		number(h.centre)
		integer(t.good[i])
		integer(h.under)
		integer(h.over)
		held := uint64(0)
		for _, c := range h.counts {
			if c > 0 {
				held++
			}
		}
		integer(held)
		for k, c := range h.counts {
			if c > 0 {
				integer(uint64(h.from + k))
				integer(c)
			}
		}
	}
	integer(uint64(len(t.trees)))
	for i := range t.trees {
		integer(t.trees[i].Level)
		integer(t.trees[i].Index)
		for _, m := range t.trees[i].Of {
			for _, v := range [...]float64{m.N, m.Mean, m.S2, m.S3, m.S4, m.Least, m.Most} {
				number(v)
			}
			integer(m.LeastAt)
			integer(m.MostAt)
		}
	}
	return b, nil
}

// UnmarshalBinary reads what [Accumulator.MarshalBinary] wrote. It returns a [fault.FieldError] for anything else; the accumulator is then unchanged.
func (t *Accumulator) UnmarshalBinary(data []byte) error {
	rest, ok := bytes.CutPrefix(data, []byte(accumulatorMagic))
	if !ok {
		return fault.At("accumulator", "other bytes", fmt.Sprintf("some that begin %q", accumulatorMagic), fault.ErrSyntax)
	}
	r := reader{rest: rest}
	out := Accumulator{Seed: r.integer(), Stream: int(r.integer()), total: r.integer()}
	n := r.count(1)
	for range n {
		var h histogram
		out.names = append(out.names, string(r.bytes(r.count(1))))
		h.centre = r.number()
		out.good = append(out.good, r.integer())
		h.under, h.over = r.integer(), r.integer()
		for range r.count(2) {
			k, c := r.integer(), r.integer()
			if k >= 2*buckets {
				r.bad = true
				break
			}
			h.reach(int(k))
			h.counts[int(k)-h.from] = c
		}
		out.shapes = append(out.shapes, h)
	}
	for range r.count(2) {
		q := tree{Level: r.integer(), Index: r.integer()}
		if q.Level > 62 || q.Index > 1<<(62-q.Level) {
			r.bad = true
			break
		}
		for range n {
			var m moments
			for _, v := range [...]*float64{&m.N, &m.Mean, &m.S2, &m.S3, &m.S4, &m.Least, &m.Most} {
				*v = r.number()
			}
			m.LeastAt, m.MostAt = r.integer(), r.integer()
			q.Of = append(q.Of, m)
		}
		if r.bad || !out.insert(q) {
			r.bad = true
			break
		}
	}
	if r.bad || len(r.rest) > 0 {
		return fault.At("accumulator", fmt.Sprintf("%d damaged bytes", len(data)), "them as they were written", fault.ErrSyntax)
	}
	*t = out
	return nil
}

// reader takes a serialised accumulator apart; bad is set when it does not fit.
type reader struct {
	rest []byte
	bad  bool
}

func (r *reader) integer() uint64 {
	v, n := binary.Uvarint(r.rest)
	if n <= 0 {
		r.bad, r.rest = true, nil
		return 0
	}
	r.rest = r.rest[n:]
	return v
}

// count is a number of things of at least so many bytes each, which the rest can hold.
func (r *reader) count(each int) int {
	v := r.integer()
	if v > uint64(len(r.rest)/each) {
		r.bad, r.rest = true, nil
		return 0
	}
	return int(v)
}

func (r *reader) bytes(n int) []byte {
	if n > len(r.rest) {
		r.bad, r.rest = true, nil
		return nil
	}
	out := r.rest[:n]
	r.rest = r.rest[n:]
	return out
}

func (r *reader) number() float64 {
	b := r.bytes(8)
	if len(b) < 8 {
		r.bad = true
		return 0
	}
	return math.Float64frombits(binary.LittleEndian.Uint64(b))
}
