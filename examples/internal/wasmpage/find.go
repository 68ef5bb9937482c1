package wasmpage

import (
	"encoding/binary"
	"math/bits"
)

const (
	own       = 4  // bytes that a match at a distance of its own must have
	hashBits  = 18 // of the first bytes
	depth     = 64 // places looked at for one match
	contented = 96 // a match so long is taken without a look ahead
)

// found is a match: its length (0: none), how far back it is, and which of the last distances that is (-1: none).
type found struct{ length, distance, again int }

// worth is about how many bytes a match saves.
func (m found) worth() int {
	switch {
	case m.length == 0:
		return 0
	case m.again >= 0:
		return m.length
	}
	return m.length - 1 - bits.Len(uint(m.distance))/9
}

// finder finds what stood before, by chains of places that begin alike.
type finder struct {
	data       []byte
	head, next []int32
}

func newFinder(data []byte) *finder {
	f := &finder{data: data, head: make([]int32, 1<<hashBits), next: make([]int32, len(data))}
	for i := range f.head {
		f.head[i] = -1
	}
	return f
}

func (f *finder) hash(at int) uint32 {
	return binary.LittleEndian.Uint32(f.data[at:]) * 0x9E3779B1 >> (32 - hashBits)
}

// enter makes places findable.
func (f *finder) enter(from, to int) {
	for at := from; at < to && at+own <= len(f.data); at++ {
		h := f.hash(at)
		f.next[at], f.head[h] = f.head[h], int32(at)
	}
}

// along is how far what stands at two places is the same.
func (f *finder) along(a, b int) int {
	n, most := 0, min(longest, len(f.data)-b)
	for n < most && f.data[a+n] == f.data[b+n] {
		n++
	}
	return n
}

// best is the match at a place that saves most.
func (f *finder) best(at int, last *[4]int) found {
	var best found
	for i, d := range last {
		if d > at {
			continue
		}
		if n := f.along(at-d, at); n >= shortest && n > best.length {
			best = found{n, d, i}
		}
	}
	if at+own > len(f.data) {
		return best
	}
	most := best.length
	for i, k := f.head[f.hash(at)], 0; i >= 0 && k < depth; i, k = f.next[i], k+1 {
		p := int(i)
		if at+most < len(f.data) && f.data[p+most] != f.data[at+most] {
			continue
		}
		n := f.along(p, at)
		if n < own {
			continue
		}
		if m := (found{n, at - p, -1}); m.worth() > best.worth() {
			best, most = m, max(most, n)
		}
	}
	return best
}
