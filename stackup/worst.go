package stackup

import (
	"math"
	"slices"
)

// Extreme is a worst case: the value, and the deviations that attain it, column by column.
type Extreme struct {
	Value float64
	X     []float64 // nil: not known
}

// WorstScalar returns the least and greatest of output o of the linear model over all deviations within their limits: At + Σ of the ends, exactly. ok is false when an input has no limits.
func (l *Linear) WorstScalar(s *Study, o int) (least, greatest Extreme, ok bool) {
	set, unbounded := s.reaches()
	if unbounded != "" {
		return least, greatest, false
	}
	b := l.body(set, o, -1)
	one := func(u [2]float64) Extreme { return Extreme{b.point(u)[0], b.deviations(u)} }
	return one([2]float64{-1, 0}), one([2]float64{1, 0}), true
}

// WorstSize returns the least and greatest length of the pair of outputs (x, y) of the linear model over all deviations within their limits. The set of pairs is a sum of intervals and ellipses; the greatest length is at a corner or on a rim of it, the least is its distance from zero. ok is false when an input has no limits.
//
// Derivation: the greatest length of a convex set is that of its support function over all directions; stepping from a direction to that of the farthest point there never shortens it, and starts on every facet find every corner.
func (l *Linear) WorstSize(s *Study, x, y int) (least, greatest Extreme, ok bool) {
	set, unbounded := s.reaches()
	if unbounded != "" {
		return least, greatest, false
	}
	b := l.body(set, x, y)
	least = b.nearest()
	if least.Value == 0 {
		b.hollow(&least)
	}
	return least, b.farthest(), true
}

// hollow keeps the least length away from zero where rims alone keep the sum there: the size of a sum of circles is never less than its longest radius less the others, and what else is added shortens it by its own greatest length at most. Rims that the gains make oval count as filled.
func (b *body) hollow(least *Extreme) {
	rest := body{at: b.at, n: b.n}
	var sum, longest float64
	for i := range b.set {
		a, c := math.Hypot(b.a[i][0], b.a[i][1]), math.Hypot(b.b[i][0], b.b[i][1])
		if round := math.Abs(a-c) <= roundShare*a && math.Abs(dot(b.a[i], b.b[i])) <= roundShare*a*a; b.set[i].hollow && round {
			sum += a
			longest = math.Max(longest, a)
			continue
		}
		rest.set = append(rest.set, b.set[i])
		rest.a, rest.b = append(rest.a, b.a[i]), append(rest.b, b.b[i])
	}
	if sum == 0 {
		return
	}
	if v := 2*longest - sum - rest.farthest().Value; v > 0 {
		*least = Extreme{Value: v}
	}
}

// roundShare is how far two half-axes may differ and still be those of a circle: rounding of differences.
const roundShare = 1e-6

// body is the image of the inputs' sets: centre + Σ segments and ellipses, in the plane of two outputs, or on a line.
type body struct {
	set  []reach
	at   [2]float64
	a, b [][2]float64 // images of the half-axes
	n    int          // columns
}

func (l *Linear) body(set []reach, x, y int) *body {
	b := &body{set: set, n: len(l.Gain[x])}
	image := func(r *reach, v []float64) (out [2]float64) {
		for d, o := range [2]int{x, y} {
			if o < 0 {
				continue
			}
			for k, d1 := range v {
				out[d] += l.Gain[o][r.column+k] * d1
			}
		}
		return out
	}
	b.at[0] = l.At[x]
	if y >= 0 {
		b.at[1] = l.At[y]
	}
	for i := range set {
		r := &set[i]
		c := image(r, r.centre)
		b.at[0] += c[0]
		b.at[1] += c[1]
		b.a, b.b = append(b.a, image(r, r.a)), append(b.b, image(r, r.b))
	}
	return b
}

func dot(a, b [2]float64) float64 { return a[0]*b[0] + a[1]*b[1] }

// point is the farthest point in direction u.
func (b *body) point(u [2]float64) [2]float64 {
	p := b.at
	for i := range b.a {
		c := b.choose(i, u)
		p[0] += c.sa*b.a[i][0] + c.sb*b.b[i][0]
		p[1] += c.sa*b.a[i][1] + c.sb*b.b[i][1]
	}
	return p
}

// choose is the point of set i that is farthest in direction u.
func (b *body) choose(i int, u [2]float64) choice { return outermost(dot(b.a[i], u), dot(b.b[i], u)) }

// deviations are those of the farthest point in direction u.
func (b *body) deviations(u [2]float64) []float64 {
	x := make([]float64, b.n)
	for i := range b.set {
		b.set[i].add(x, b.choose(i, u))
	}
	return x
}

// directions to start from: one within every facet, and all round.
func (b *body) directions() []float64 {
	const round = 720
	var out []float64
	for _, a := range append(slices.Clone(b.a), b.b...) {
		if a != ([2]float64{}) {
			t := math.Atan2(a[0], -a[1]) // square to a: where its end changes
			out = append(out, t, t+math.Pi)
		}
	}
	slices.Sort(out)
	n := len(out)
	for i := 1; i < n; i++ {
		out = append(out, (out[i]+out[i-1])/2)
	}
	for i := range round {
		out = append(out, 2*math.Pi*(float64(i)+0.5)/round)
	}
	return out
}

// farthest is the point farthest from zero: from many directions, stepping to that of the farthest point until its
// length grows no more.
func (b *body) farthest() Extreme {
	const steps = 1000
	best := Extreme{Value: -1}
	for _, t := range b.directions() {
		u := [2]float64{math.Cos(t), math.Sin(t)}
		p := b.point(u)
		size := math.Hypot(p[0], p[1])
		for k := 0; k < steps && size > 0; k++ {
			next := [2]float64{p[0] / size, p[1] / size}
			q := b.point(next)
			longer := math.Hypot(q[0], q[1])
			if longer <= size {
				break
			}
			u, p, size = next, q, longer
		}
		if size > best.Value {
			best = Extreme{size, b.deviations(u)}
		}
	}
	return best
}

// nearest is the point of the body nearest zero: the greatest, over directions u, of how far the whole body lies beyond zero along u; 0 when zero is within, by deviations that are not worked out.
func (b *body) nearest() Extreme {
	beyond := func(t float64) float64 {
		u := [2]float64{-math.Cos(t), -math.Sin(t)}
		return -dot(b.point(u), u)
	}
	const round = 720
	best, at := math.Inf(-1), 0.0
	for i := range round {
		t := 2 * math.Pi * float64(i) / round
		if v := beyond(t); v > best {
			best, at = v, t
		}
	}
	lo, hi := at-2*math.Pi/round, at+2*math.Pi/round
	golden := (math.Sqrt(5) - 1) / 2
	for range 80 {
		a, c := hi-golden*(hi-lo), lo+golden*(hi-lo)
		if beyond(a) >= beyond(c) {
			hi = c
		} else {
			lo = a
		}
	}
	t := (lo + hi) / 2
	v := math.Max(beyond(t), best)
	if v <= 0 {
		return Extreme{}
	}
	return Extreme{Value: v, X: b.deviations([2]float64{-math.Cos(t), -math.Sin(t)})}
}
