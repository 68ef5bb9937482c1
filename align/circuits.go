package align

import (
	"math"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/align/internal/tol"
)

// circuit is a sum of centres Σ w p that no line changes, with as few circles as can be: |Σ w p| /
// Σ |w| r is never more than the use, and (|Σ w p| − Σ |w| r) / Σ |w| never more than the lack of
// room. Where three circles of a shaft matter, or one more than the lines of coupled shafts can
// please, they are these.
type circuit struct {
	weights        []float64 // one a member of the group, that add up to 1 by size
	rooms          float64   // Σ |w| r
	high           float64   // what its length over the floats is at most
	rest           float64   // its length at rest
	longest, least spot
}

// spot is where the sum of a circuit is longest or shortest over the floats.
type spot struct {
	found   bool // it was looked for; the longest, where it comes to nearly the most of all circuits
	length  float64
	angle   float64        // clock angle along which
	floats  []floatset.Vec // of all joints
	settled bool           // it was followed again from there
}

// put notes the length that the shadow came to, and where.
func (p *spot) put(o *over, length, angle float64) {
	p.found, p.length, p.angle = true, length, angle
	copy(p.floats, o.from)
	o.putTop(p.floats)
}

// of is what a length of the sum comes to.
func (c *circuit) of(length float64, by shaftline.Measure) float64 {
	if by == shaftline.ByUtilisation {
		return length / math.Max(c.rooms, tol.Meet)
	}
	return length - c.rooms
}

// length is the length at which a circuit comes to a value.
func (c *circuit) length(value float64, by shaftline.Measure) float64 {
	if by == shaftline.ByUtilisation {
		return value * math.Max(c.rooms, tol.Meet)
	}
	return value + c.rooms
}

// Circuits are all looked at up to so many; of more, a spread.
const (
	maxCircuits = 60
	sameSum     = 1e-9 // share of the weights by which a circle takes part in a sum
)

// groupSums are the circuits of a group of shafts, found once a sample, and what was found of them
// over the floats.
type groupSums struct {
	listed   bool
	many     bool  // more than one sum of centres is independent
	members  []int // circles
	circuits []circuit
	order    []int
	weight   []float64 // of the members, in the rule that bounds the worst

	topped  bool       // the longest are found as far as they may matter,
	slack   [2]float64 // by which a value may stay behind the best, of each measure
	leastBy [2]bool    // the shortest are found as far as a measure needs them
}

// listCircuits lists the circuits of a group, the parts being where they rest; it makes the group's
// the members that are looked at.
func (o *over) listCircuits(n int) *groupSums {
	k := o.k
	l := &k.line
	s, group := &o.sums[n], k.lay.groups[n]
	o.now = s
	if s.listed {
		return s
	}
	o.putAtRest()
	k.line.Gather(group)
	s.listed, s.members = true, append(s.members[:0], l.Members...)
	s.circuits = s.circuits[:0]
	m := len(l.Members)
	null := k.line.Nullity(group)
	s.many = null > 1
	switch {
	case null == 0:
	case null == 1:
		o.addCircuit(l.Weights)
	case l.Two:
		for out := range m {
			a, b := l.Second[out], -l.Weights[out]
			o.full = dense.Resize(o.full, m)
			for i := range m {
				o.full[i] = a*l.Weights[i] + b*l.Second[i]
			}
			o.full[out] = 0
			o.addCircuit(o.full)
		}
	default:
		o.chooseCircuits(m, 2*len(group))
	}
	return s
}

// chooseCircuits lists the circuits among every choice of n + 1 of m circles, or among a fixed
// spread of choices: the same stack always gives the same answer.
func (o *over) chooseCircuits(m, n int) {
	size := n + 1
	o.chosen, o.part = dense.Resize(o.chosen, m), dense.Resize(o.part, size)
	take := func() {
		if n == 2 {
			o.threeOnALine(o.chosen[:3])
		} else if o.k.line.Eliminate(o.chosen[:size], n, o.part) != 1 {
			return
		}
		o.full = dense.Resize(o.full, m)
		clear(o.full)
		for c, i := range o.chosen[:size] {
			o.full[i] = o.part[c]
		}
		o.addCircuit(o.full)
	}
	for i := range o.chosen {
		o.chosen[i] = i
	}
	if combinations(m, size) > maxCircuits {
		state := uint64(m)
		for range maxCircuits {
			for i := range size {
				state = state*6364136223846793005 + 1442695040888963407 // D. E. Knuth's linear congruence, MMIX
				k := i + int(state>>33)%(m-i)
				o.chosen[i], o.chosen[k] = o.chosen[k], o.chosen[i]
			}
			take()
		}
		return
	}
	for {
		take()
		i := size - 1
		for i >= 0 && o.chosen[i] == m-size+i {
			i--
		}
		if i < 0 {
			return
		}
		o.chosen[i]++
		for i++; i < size; i++ {
			o.chosen[i] = o.chosen[i-1] + 1
		}
	}
}

// threeOnALine sets part to the weights of three circles of one shaft.
func (o *over) threeOnALine(chosen []int) {
	k := o.k
	a, b, c := k.circles[k.line.Members[chosen[0]]].Z, k.circles[k.line.Members[chosen[1]]].Z, k.circles[k.line.Members[chosen[2]]].Z
	o.part[0], o.part[1], o.part[2] = b-c, c-a, a-b
}

// addCircuit lists a sum that is not listed yet, its weights scaled to add up to 1 by size.
func (o *over) addCircuit(w []float64) {
	var weight float64
	for _, v := range w {
		weight += math.Abs(v)
	}
	if weight == 0 {
		return
	}
	s := o.now
	n := len(s.circuits)
	if n == cap(s.circuits) {
		s.circuits = append(s.circuits, circuit{})
	}
	s.circuits = s.circuits[:n+1]
	c := &s.circuits[n]
	c.rooms, c.high = 0, math.Inf(1)
	c.weights = dense.Resize(c.weights, len(w))
	for i, v := range w {
		c.weights[i] = v / weight
		c.rooms += math.Abs(c.weights[i]) * o.k.circles[s.members[i]].Radius
	}
	for _, p := range [2]*spot{&c.longest, &c.least} {
		*p = spot{floats: dense.Resize(p.floats, len(o.from))}
	}
	for i := range s.circuits[:n] {
		same, opposite := true, true
		for k, u := range s.circuits[i].weights {
			same = same && math.Abs(c.weights[k]-u) <= sameSum
			opposite = opposite && math.Abs(c.weights[k]+u) <= sameSum
		}
		if same || opposite {
			s.circuits = s.circuits[:n]
			return
		}
	}
}

// cast makes the shadow that of a sum of the members' centres, as the circles follow the floats.
func (o *over) cast(weights []float64) {
	n := 3 * len(o.loose)
	s := &o.shadow
	s.reset(o)
	for i, m := range o.now.members {
		w := weights[i]
		if w == 0 {
			continue
		}
		s.x += w * o.values[2*m]
		s.y += w * o.values[2*m+1]
		dx, dy := o.deriv[2*m*n:], o.deriv[(2*m+1)*n:]
		for j := range n {
			s.gx[j] += w * dx[j]
			s.gy[j] += w * dy[j]
		}
	}
	s.quiet()
}

// combinations is how many ways there are to choose k of n, at most a few more than maxCircuits.
func combinations(n, k int) int {
	c := 1
	for i := 1; i <= k; i++ {
		if c = c * (n - k + i) / i; c > maxCircuits {
			break
		}
	}
	return c
}
