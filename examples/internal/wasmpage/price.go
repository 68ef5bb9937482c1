package wasmpage

import (
	"math"
	"math/bits"
)

// prices are what a coder's choices cost, in bits, by its chances as they stand; those of lengths and distances as they stood when they were reckoned.
type prices struct {
	c        *coder
	ofChance [256]float32 // by a chance in 1/256
	length   [2][longest + 1]float32
	distance [lenGroups][64]float32
}

func newPrices(c *coder) *prices {
	p := &prices{c: c}
	for i := range p.ofChance {
		p.ofChance[i] = float32(-math.Log2((float64(i) + 0.5) / 256))
	}
	return p
}

// bit is the price of one bit.
func (p *prices) bit(c *chance, one bool) float32 {
	of := (uint32(c.quick) + uint32(c.slow)) >> 9
	if one {
		of = 255 - of
	}
	return p.ofChance[of]
}

func (p *prices) tree(c []chance, value, count int) (sum float32) {
	node := 1
	for i := count - 1; i >= 0; i-- {
		one := value >> i & 1
		sum += p.bit(&c[node], one == 1)
		node = node<<1 | one
	}
	return sum
}

// reckon makes the tables.
func (p *prices) reckon() {
	for kind := range 2 {
		for n := 1; n <= longest-shortest+1; n++ {
			size := bits.Len(uint(n)) - 1
			learnt := min(size, highBits)
			rest := size - learnt
			p.length[kind][n+shortest-1] = float32(rest) + p.tree(p.c.length[kind], size, 4) +
				p.tree(p.c.extra[kind][size<<highBits:], n>>rest&(1<<learnt-1), learnt)
		}
	}
	for g := range lenGroups {
		for slot := range 64 {
			p.distance[g][slot] = p.tree(p.c.distance[g<<6:], slot, 6)
		}
	}
}

// far is the price of a distance, behind a length.
func (p *prices) far(length, d int) float32 {
	slot, rest := slotOf(d)
	learnt := min(rest, lowBits)
	group := min(bits.Len(uint(length-shortest+1))-1, lenGroups-1)
	return p.distance[group][slot] + float32(rest-learnt) + p.tree(p.c.fine[slot<<lowBits:], d&(1<<learnt-1), learnt)
}

// literal is the price of the byte at a place; beside a match that has ended, by how far back that was.
func (p *prices) literal(data []byte, at int, beside bool, back int) (sum float32) {
	ahead, one := 0, int(data[at])
	if at > 0 {
		ahead = int(data[at-1])
	}
	if !beside || back > at {
		return p.tree(p.c.literal[ahead<<8:], one, 8)
	}
	for i, c := range p.c.besides(ahead, int(data[at-back]), one) {
		sum += p.bit(c, one>>(7-i)&1 == 1)
	}
	return sum
}
