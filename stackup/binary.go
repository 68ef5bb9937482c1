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
	c := codec{rest: []byte(accumulatorMagic), writes: true}
	c.accumulator(t)
	return c.rest, nil
}

// UnmarshalBinary reads what [Accumulator.MarshalBinary] wrote. It returns a [fault.FieldError] for anything else; the accumulator is then unchanged.
func (t *Accumulator) UnmarshalBinary(data []byte) error {
	rest, ok := bytes.CutPrefix(data, []byte(accumulatorMagic))
	if !ok {
		return fault.At("accumulator", "other bytes", fmt.Sprintf("some that begin %q", accumulatorMagic), fault.ErrSyntax)
	}
	c, out := codec{rest: rest}, Accumulator{}
	c.accumulator(&out)
	if c.bad || len(c.rest) > 0 {
		return fault.At("accumulator", fmt.Sprintf("%d damaged bytes", len(data)), "them as they were written", fault.ErrSyntax)
	}
	*t = out
	return nil
}

// codec appends what is written to its bytes, or takes what is read from their front; bad is set when that does not
// fit.
type codec struct {
	rest   []byte
	writes bool
	bad    bool
}

// accumulator is written, or read into an empty one.
func (c *codec) accumulator(t *Accumulator) {
	stream := uint64(t.Stream)
	c.integers(&t.Seed, &stream, &t.total)
	t.Stream = int(stream)
	n := c.count(len(t.names), 1)
	if !c.writes {
		t.names, t.shapes, t.good = make([]string, n), make([]histogram, n), make([]uint64, n)
	}
	for i := 0; i < n && !c.bad; i++ {
		h := &t.shapes[i]
		c.text(&t.names[i])
		c.number(&h.centre)
		c.integers(&t.good[i], &h.under, &h.over)
		c.buckets(h)
	}
	trees := t.trees
	for i := range c.count(len(trees), 2) {
		q := tree{Of: make([]moments, n)}
		if c.writes {
			q = trees[i]
		}
		c.integers(&q.Level, &q.Index)
		for k := range q.Of {
			m := &q.Of[k]
			for _, v := range [...]*float64{&m.N, &m.Mean, &m.S2, &m.S3, &m.S4, &m.Least, &m.Most} {
				c.number(v)
			}
			c.integers(&m.LeastAt, &m.MostAt)
		}
		if !c.writes && (c.bad || q.Level > 62 || q.Index > 1<<(62-q.Level) || !t.insert(q)) {
			c.bad = true
			return
		}
	}
}

// buckets are those of a histogram that hold samples.
func (c *codec) buckets(h *histogram) {
	if c.writes {
		var held []uint64
		for k, n := range h.counts {
			if n > 0 {
				held = append(held, uint64(h.from+k), n)
			}
		}
		c.count(len(held)/2, 2)
		for i := range held {
			c.integers(&held[i])
		}
		return
	}
	for range c.count(0, 2) {
		var place, n uint64
		if c.integers(&place, &n); place >= 2*buckets {
			c.bad = true
			return
		}
		h.reach(int(place))
		h.counts[int(place)-h.from] = n
	}
}

func (c *codec) integers(list ...*uint64) {
	for _, v := range list {
		if c.writes {
			c.rest = binary.AppendUvarint(c.rest, *v)
			continue
		}
		var n int
		if *v, n = binary.Uvarint(c.rest); n <= 0 {
			c.bad, n = true, len(c.rest)
		}
		c.rest = c.rest[n:]
	}
}

// count is a number of things of at least so many bytes each: of those that are written, or that the rest can hold.
func (c *codec) count(n, each int) int {
	v := uint64(n)
	if c.integers(&v); !c.writes && v > uint64(len(c.rest)/each) {
		c.bad, c.rest, v = true, nil, 0
	}
	return int(v)
}

func (c *codec) text(s *string) {
	n := c.count(len(*s), 1)
	if c.writes {
		c.rest = append(c.rest, *s...)
		return
	}
	*s, c.rest = string(c.rest[:n]), c.rest[n:]
}

func (c *codec) number(v *float64) {
	if c.writes {
		c.rest = binary.LittleEndian.AppendUint64(c.rest, math.Float64bits(*v))
	} else if len(c.rest) < 8 {
		c.bad, c.rest = true, nil
	} else {
		*v, c.rest = math.Float64frombits(binary.LittleEndian.Uint64(c.rest)), c.rest[8:]
	}
}
