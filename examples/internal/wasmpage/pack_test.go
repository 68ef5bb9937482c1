package wasmpage

import (
	"bytes"
	"math/rand/v2"
	"testing"
)

// unpacker is unpack.js in Go.
type unpacker struct {
	*coder
	code   []byte
	from   int
	width  int32
	value  int32
	placed []byte
}

func (u *unpacker) next() int32 { // streams are 31 bits wide: bytes lie a bit off
	b := u.code[u.from-1]&1<<7 | u.code[u.from]>>1
	u.from++
	return int32(b)
}

func (u *unpacker) fit() {
	for u.width < topRange {
		u.width <<= 8
		u.value = u.value<<8 | u.next()
	}
}

func (u *unpacker) bit(p *chance) int {
	bound := u.width >> certain * int32((uint32(p.quick)+uint32(p.slow))>>(17-certain)&(1<<certain-1)|1)
	one := u.value >= bound
	if one {
		u.value -= bound
		u.width -= bound
	} else {
		u.width = bound
	}
	p.learn(one)
	u.fit()
	if one {
		return 1
	}
	return 0
}

func (u *unpacker) even(count int) (n int) {
	for range count {
		u.width >>= 1
		one := 0
		if u.value >= u.width {
			u.value -= u.width
			one = 1
		}
		n = n<<1 | one
		u.fit()
	}
	return n
}

func (u *unpacker) tree(p []chance, count int) int {
	node := 1
	for range count {
		node = node<<1 | u.bit(&p[node])
	}
	return node - 1<<count
}

func (u *unpacker) literal() byte {
	ahead := 0
	if n := len(u.placed); n > 0 {
		ahead = int(u.placed[n-1])
	}
	if u.kinds&1 == 0 {
		return byte(u.tree(u.coder.literal[ahead<<8:], 8))
	}
	like, node, parted := int(u.placed[len(u.placed)-u.last[0]]), 1, false
	for i := 7; i >= 0; i-- {
		by := 0
		if !parted {
			by = 1 + like>>i&1
		}
		one := u.bit(&u.beside[(ahead>>5*3+by)<<8|node])
		parted = parted || one != like>>i&1
		node = node<<1 | one
	}
	return byte(node)
}

func (u *unpacker) copied() {
	kind := u.bit(&u.again[u.kinds])
	d := 0
	if kind == 1 {
		k := u.tree(u.which, 2)
		d = u.last[k]
		copy(u.last[1:k+1], u.last[:k])
	}
	size := u.tree(u.length[kind], 4)
	learnt := min(size, highBits)
	n := (1<<learnt | u.tree(u.extra[kind][size<<highBits:], learnt)) << (size - learnt)
	n |= u.even(size - learnt)
	if kind == 0 {
		slot := u.tree(u.distance[min(size, lenGroups-1)<<6:], 6)
		rest := max(slot>>1-1, 0)
		learnt := min(rest, lowBits)
		if d = 1; slot>>1 > 0 {
			d = (2 | slot&1) << rest
		}
		d |= u.even(rest-learnt) << learnt
		d |= u.tree(u.fine[slot<<lowBits:], learnt)
		copy(u.last[1:], u.last[:3])
	}
	u.last[0] = d
	for range n + shortest - 1 {
		u.placed = append(u.placed, u.placed[len(u.placed)-d])
	}
}

func unpack(code []byte) []byte {
	u := &unpacker{coder: newCoder(0), code: code, from: 5, width: 1<<31 - 1}
	size := int(code[0]) | int(code[1])<<8 | int(code[2])<<16 | int(code[3])<<24
	for range 4 {
		u.value = u.value<<8 | u.next()
	}
	for len(u.placed) < size {
		if u.bit(&u.match[u.kinds]) == 0 {
			u.placed = append(u.placed, u.literal())
			u.kinds = u.kinds << 1 & 7
			continue
		}
		u.copied()
		u.kinds = u.kinds<<1&7 | 1
	}
	return u.placed
}

// Whatever is packed comes back: nothing, little, the same throughout, noise, and text with matches near and far, long and overlapping.
func TestPack_thereAndBack(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	noise := func(n int) []byte {
		b := make([]byte, n)
		for i := range b {
			b[i] = byte(r.Uint32())
		}
		return b
	}
	var mixed []byte
	for len(mixed) < 100_000 {
		switch n := len(mixed); {
		case n > 0 && r.IntN(3) > 0:
			from := r.IntN(n)
			most := 1 + r.IntN(1<<r.IntN(14))
			for i := range most {
				mixed = append(mixed, mixed[from+i]) // may overlap itself
			}
			mixed[len(mixed)-1] ^= byte(r.IntN(2))
		default:
			mixed = append(mixed, noise(1+r.IntN(20))...)
		}
	}
	for name, data := range map[string][]byte{
		"nothing": nil, "one": {7}, "two": {7, 7}, "three": []byte("aba"), "same": bytes.Repeat([]byte{0}, 50_000), "ones": bytes.Repeat([]byte{255}, 300),
		"period": bytes.Repeat([]byte("plate and tail, "), 4000), "noise": noise(30_000), "mixed": mixed,
	} {
		code := pack(data)
		if back := unpack(append(code, 0, 0, 0, 0)); !bytes.Equal(back, data) {
			t.Errorf("%s: %d bytes come back as %d", name, len(data), len(back))
		}
		if len(code) > len(data)+len(data)/20+16 {
			t.Errorf("%s: %d bytes become %d", name, len(data), len(code))
		}
		t.Logf("%s: %d bytes become %d, by gzip %d", name, len(data), len(code), len(zip(data)))
	}
}
