package wasmpage

import "encoding/binary"

const (
	own      = 3  // bytes that a match at a distance of its own must have
	hashBits = 18 // of the first bytes
	depth    = 64 // places looked at for the matches of one
)

// found is a match: its length (0: a literal), how far back it is, and which of the last distances that is (-1: none).
type found struct{ length, distance, again int }

// finder finds what stood before: by chains of places that begin with the same four bytes, and by the last place with the same three.
type finder struct {
	data              []byte
	head, next, three []int32
	entered           int
	list              []found
}

func newFinder(data []byte) *finder {
	f := &finder{data: data, head: make([]int32, 1<<hashBits), three: make([]int32, 1<<hashBits), next: make([]int32, len(data))}
	for i := range f.head {
		f.head[i], f.three[i] = -1, -1
	}
	return f
}

const golden = 0x9E3779B1 // 2³² by the golden ratio: spreads bytes over a hash

// enter makes all places before one findable.
func (f *finder) enter(to int) {
	for ; f.entered < to && f.entered+4 <= len(f.data); f.entered++ {
		v := binary.LittleEndian.Uint32(f.data[f.entered:])
		h, h3 := v*golden>>(32-hashBits), v<<8*golden>>(32-hashBits)
		f.next[f.entered], f.head[h], f.three[h3] = f.head[h], int32(f.entered), int32(f.entered)
	}
}

// along is how far what stands at two places is the same.
func (f *finder) along(a, b int) int {
	n, most := 0, min(longest, len(f.data)-b)
	for n+8 <= most && binary.LittleEndian.Uint64(f.data[a+n:]) == binary.LittleEndian.Uint64(f.data[b+n:]) {
		n += 8
	}
	for n < most && f.data[a+n] == f.data[b+n] {
		n++
	}
	return n
}

// matches are those at a place, each longer and farther back than the one before.
func (f *finder) matches(at int) []found {
	f.enter(at)
	f.list = f.list[:0]
	if at+4 > len(f.data) {
		return nil
	}
	v := binary.LittleEndian.Uint32(f.data[at:])
	most := own - 1
	look := func(p int) {
		if at+most < len(f.data) && f.data[p+most] == f.data[at+most] {
			if n := f.along(p, at); n > most {
				most = n
				f.list = append(f.list, found{n, at - p, -1})
			}
		}
	}
	if p := int(f.three[v<<8*golden>>(32-hashBits)]); p >= 0 {
		look(p)
	}
	for i, k := f.head[v*golden>>(32-hashBits)], 0; i >= 0 && k < depth; i, k = f.next[i], k+1 {
		look(int(i))
	}
	return f.list
}
