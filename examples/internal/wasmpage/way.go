package wasmpage

import (
	"math"
	"slices"
)

const (
	block     = 1 << 14 // bytes through which the cheapest way is sought at a time, at the prices of its beginning
	contented = 64      // bytes of a match that is taken without looking for better
)

// node is a place on the way: what it costs to come there, by which last step, and what stands there: the last distances and kinds of steps. A step may be three: then, behind it, a literal and so many bytes more from the same distance; without that, the way there, dearer at first, would be lost.
type node struct {
	cost  float32
	by    found
	then  int
	last  [4]int32
	kinds int
}

// bytes is how far the last step to a node goes.
func (n *node) bytes() int {
	if n.then > 0 {
		return n.by.length + 1 + n.then
	}
	return max(n.by.length, 1)
}

// way finds the cheapest steps through data, at the prices of a coder's chances.
type way struct {
	*prices
	data  []byte
	f     *finder
	nodes []node
	at    int // of the first node
}

func newWay(data []byte, c *coder) *way {
	return &way{prices: newPrices(c), data: data, f: newFinder(data), nodes: make([]node, block+2*longest+4)}
}

// from is the cheapest way from a place through the next block.
func (w *way) from(at int) []found {
	w.reckon()
	w.at = at
	end := min(block, len(w.data)-at)
	for i := range w.nodes {
		w.nodes[i].cost = math.MaxFloat32
	}
	w.nodes[0] = node{kinds: w.c.kinds}
	for k, d := range w.c.last {
		w.nodes[0].last[k] = int32(d)
	}
	i := 0
	for i < end {
		if i > 0 {
			w.arrive(i)
		}
		if far := w.step(i); far-i >= contented && w.nodes[far].bytes() >= contented {
			i = far
			continue
		}
		i++
	}
	var steps []found
	for k := i; k > 0; k -= w.nodes[k].bytes() {
		n := &w.nodes[k]
		if n.then > 0 {
			steps = append(steps, found{n.then, n.by.distance, 0}, found{})
		}
		if n.by.length > 0 || n.then == 0 {
			steps = append(steps, n.by)
		}
	}
	slices.Reverse(steps)
	return steps
}

// arrive works out what stands at a node.
func (w *way) arrive(i int) {
	n := &w.nodes[i]
	before := &w.nodes[i-n.bytes()]
	n.last, n.kinds = before.last, before.kinds
	if n.by.length > 0 {
		k := n.by.again
		if k < 0 {
			k = 3
		}
		copy(n.last[1:k+1], before.last[:k])
		n.last[0] = int32(n.by.distance)
		n.kinds = n.kinds<<1&7 | 1
	} else if n.then == 0 {
		n.kinds = n.kinds << 1 & 7
	}
	if n.then > 0 {
		n.kinds = n.kinds<<2&7 | 1
	}
}

// offer offers a way to a node.
func (w *way) offer(to int, cost float32, by found, then int) {
	if n := &w.nodes[to]; cost < n.cost {
		n.cost, n.by, n.then = cost, by, then
	}
}

// more offers a step with a literal behind it and the same distance again, and returns how far that reaches.
func (w *way) more(i int, cost float32, by found, kinds int) int {
	on := w.at + i + by.length + 1
	if on+shortest > len(w.data) || by.distance >= on {
		return 0
	}
	n := w.f.along(on-by.distance, on)
	if n < shortest {
		return 0
	}
	cost += w.bit(&w.c.match[kinds], false) + w.literal(w.data, on-1, kinds&1 == 1, by.distance)
	kinds = kinds << 1 & 7
	cost += w.bit(&w.c.match[kinds], true) + w.bit(&w.c.again[kinds], true) + w.tree(w.c.which, 0, 2) + w.length[1][n]
	to := i + by.length + 1 + n
	w.offer(to, cost, by, n)
	return to
}

// step offers every step from a node to those ahead, and returns the farthest that it reaches.
func (w *way) step(i int) int {
	n, here := &w.nodes[i], w.at+i
	w.offer(i+1, n.cost+w.bit(&w.c.match[n.kinds], false)+w.literal(w.data, here, n.kinds&1 == 1, int(n.last[0])), found{}, 0)
	far := max(i+1, w.more(i, n.cost, found{0, int(n.last[0]), -1}, n.kinds))
	match := n.cost + w.bit(&w.c.match[n.kinds], true)
	behind := n.kinds<<1&7 | 1
	again := match + w.bit(&w.c.again[n.kinds], true)
	for k, d := range n.last {
		m := found{0, int(d), k}
		if m.distance > here {
			continue
		}
		most := w.f.along(here-m.distance, here)
		if most < shortest {
			continue
		}
		which := again + w.tree(w.c.which, k, 2)
		for m.length = first(shortest, most); m.length <= most; m.length++ {
			w.offer(i+m.length, which+w.length[1][m.length], m, 0)
		}
		m.length = most
		far = max(far, i+most, w.more(i, which+w.length[1][most], m, behind))
	}
	match += w.bit(&w.c.again[n.kinds], false)
	least := own
	for _, m := range w.f.matches(here) {
		most := m.length
		for m.length = first(least, most); m.length <= most; m.length++ {
			w.offer(i+m.length, match+w.length[0][m.length]+w.far(m.length, m.distance), m, 0)
		}
		m.length, least = most, most+1
		far = max(far, i+most, w.more(i, match+w.length[0][most]+w.far(most, m.distance), m, behind))
	}
	return far
}

// first is the least length to offer: of a match that is taken as it is, its own.
func first(least, most int) int {
	if most >= contented {
		return most
	}
	return least
}
