package wasmpage

import (
	"encoding/binary"
	"math/bits"
)

// What a program weighs decides whether its page can be carried about. The compression that browsers bring, deflate, looks back 32 kB alone and begins anew at every block. pack is a Lempel-Ziv coder without a window, whose choices are coded bit by bit with adaptive probabilities by a range coder; unpack.js is its other half, with the same names. It takes a fifth off what deflate leaves of a WebAssembly program.
//
// A stream is the length of the data (4 bytes, little endian) and the range coder's bytes. Each step codes whether a match follows; then a literal, in the context of the byte ahead, or the length of the match and how far back it is, which may be one of the last four distances.
//
// Source: J. Ziv, A. Lempel, IEEE Trans. Information Theory 23 (1977) 337; G. N. N. Martin, Range encoding, Video & Data Recording Conference (1979); the last distances, and the literal beside a match that has ended: common practice, no published source.

const (
	shortest  = 2                    // match at one of the last distances
	longest   = shortest + 1<<12 - 2 // match
	topRange  = 1 << 23              // below, a byte is moved out
	certain   = 12                   // bits of a probability
	quickly   = 4                    // shift by which one half of a probability learns
	slowly    = 7                    // and the other
	lenGroups = 4                    // lengths by which distances are told apart
	lowBits   = 4                    // lowest bits of a distance that are learnt
	highBits  = 3                    // highest bits of a length that are learnt
	evenly    = uint16(1 << 15)      // a probability of one half
)

// chance is an adaptive probability of 0: the mean of one that follows quickly and one that follows slowly, in 1/65536.
type chance struct{ quick, slow uint16 }

func (c *chance) learn(one bool) {
	if one {
		c.quick -= c.quick >> quickly
		c.slow -= c.slow >> slowly
		return
	}
	c.quick += (65535 - c.quick) >> quickly
	c.slow += (65535 - c.slow) >> slowly
}

func chances(n int) []chance {
	c := make([]chance, n)
	for i := range c {
		c[i] = chance{evenly, evenly}
	}
	return c
}

// coder codes the steps of a stream.
type coder struct {
	out      []byte
	low      uint64
	width    uint32
	held     byte // the last byte, which a carry may still change
	holding  int  // bytes held: that one, and as many 255 less one
	kinds    int  // of the last three steps, a bit each: 1 for a match
	last     [4]int
	match    []chance // by kinds
	again    []chance // by kinds: at one of the last distances
	which    []chance // of them
	literal  []chance // by the byte ahead
	beside   []chance // behind a match: by the byte that it would have gone on with
	length   [2][]chance
	extra    [2][]chance // of a length, by its size
	distance []chance    // its size, by the length
	fine     []chance    // its lowest bits, by its size
}

// newCoder begins the stream of so many bytes.
func newCoder(size int) *coder {
	return &coder{
		out: binary.LittleEndian.AppendUint32(nil, uint32(size)), width: 1<<31 - 1, holding: 1, last: [4]int{1, 1, 1, 1},
		match: chances(8), again: chances(8), which: chances(4), literal: chances(256 << 8), beside: chances(8 * 3 << 8),
		length: [2][]chance{chances(16), chances(16)}, extra: [2][]chance{chances(16 << highBits), chances(16 << highBits)},
		distance: chances(lenGroups << 6), fine: chances(64 << lowBits),
	}
}

// pack compresses data.
func pack(data []byte) []byte {
	c := newCoder(len(data))
	way := newWay(data, c)
	for at := 0; at < len(data); {
		for _, m := range way.from(at) {
			if m.length == 0 {
				c.putLiteral(data, at)
				at++
				continue
			}
			c.putMatch(m)
			at += m.length
		}
	}
	for range 5 {
		c.shift()
	}
	return c.out
}

// bit codes one bit by its chance.
func (c *coder) bit(p *chance, one bool) {
	bound := c.width >> certain * ((uint32(p.quick)+uint32(p.slow))>>(17-certain)&(1<<certain-1) | 1)
	if one {
		c.low += uint64(bound)
		c.width -= bound
	} else {
		c.width = bound
	}
	p.learn(one)
	c.fit()
}

// even codes bits that are as often 1 as 0, the highest first.
func (c *coder) even(value, count int) {
	for i := count - 1; i >= 0; i-- {
		c.width >>= 1
		if value>>i&1 == 1 {
			c.low += uint64(c.width)
		}
		c.fit()
	}
}

// tree codes a number bit by bit, the highest first, with a chance for every way so far.
func (c *coder) tree(p []chance, value, count int) {
	node := 1
	for i := count - 1; i >= 0; i-- {
		one := value >> i & 1
		c.bit(&p[node], one == 1)
		node = node<<1 | one
	}
}

func (c *coder) fit() {
	for c.width < topRange {
		c.width <<= 8
		c.shift()
	}
}

// shift moves a byte out. One that a carry may still change is held back.
func (c *coder) shift() {
	if c.low < 0xff<<23 || c.low >= 1<<31 {
		carry := byte(c.low >> 31)
		for ; c.holding > 0; c.holding-- {
			c.out = append(c.out, c.held+carry)
			c.held = 0xff
		}
		c.held = byte(c.low >> 23)
	}
	c.holding++
	c.low = c.low & (1<<23 - 1) << 8
}

func (c *coder) putLiteral(data []byte, at int) {
	c.bit(&c.match[c.kinds], false)
	ahead, own := 0, int(data[at])
	if at > 0 {
		ahead = int(data[at-1])
	}
	if c.kinds&1 == 0 {
		c.tree(c.literal[ahead<<8:], own, 8)
	} else {
		for i, p := range c.besides(ahead, int(data[at-c.last[0]]), own) {
			c.bit(p, own>>(7-i)&1 == 1)
		}
	}
	c.kinds = c.kinds << 1 & 7
}

// besides are the chances of the bits of a literal behind a match: while it is like the byte that the match would have gone on with, by that byte's bit.
func (c *coder) besides(ahead, like, own int) (out [8]*chance) {
	node, parted := 1, false
	for i := range out {
		one, by := own>>(7-i)&1, 0
		if !parted {
			by = 1 + like>>(7-i)&1
		}
		out[i] = &c.beside[(ahead>>5*3+by)<<8|node]
		parted = parted || one != like>>(7-i)&1
		node = node<<1 | one
	}
	return out
}

func (c *coder) putMatch(m found) {
	c.bit(&c.match[c.kinds], true)
	c.bit(&c.again[c.kinds], m.again >= 0)
	kind := 0
	if m.again >= 0 {
		kind = 1
		c.tree(c.which, m.again, 2)
		copy(c.last[1:m.again+1], c.last[:m.again])
	} else {
		copy(c.last[1:], c.last[:3])
	}
	c.last[0] = m.distance
	size := c.putLength(kind, m.length-shortest+1)
	if m.again < 0 {
		c.putDistance(min(size, lenGroups-1), m.distance)
	}
	c.kinds = c.kinds<<1&7 | 1
}

// putLength codes a length from 1: its size in bits, the highest bits below the first, and the rest.
func (c *coder) putLength(kind, n int) (size int) {
	size = bits.Len(uint(n)) - 1
	c.tree(c.length[kind], size, 4)
	learnt := min(size, highBits)
	rest := size - learnt
	c.tree(c.extra[kind][size<<highBits:], n>>rest&(1<<learnt-1), learnt)
	c.even(n&(1<<rest-1), rest)
	return size
}

// putDistance codes a distance from 1: its size in bits and the bit below the first, the middle bits, and the lowest.
func (c *coder) putDistance(group, d int) {
	slot, rest := slotOf(d)
	c.tree(c.distance[group<<6:], slot, 6)
	learnt := min(rest, lowBits)
	c.even(d>>learnt&(1<<(rest-learnt)-1), rest-learnt)
	c.tree(c.fine[slot<<lowBits:], d&(1<<learnt-1), learnt)
}

// slotOf is a distance's size in bits with the bit below the first, and how many bits are below that.
func slotOf(d int) (slot, rest int) {
	size := bits.Len(uint(d)) - 1
	if size == 0 {
		return 0, 0
	}
	return size<<1 | d>>(size-1)&1, size - 1
}
