package stackup

import (
	"math"

	"example.com/borestack/stackup/law"
)

// reach is a set of deviations of one input: an interval or an ellipse about a centre, or the points of a curve.
// The set of all deviations is the sum of all reaches; several may share columns, as those of a joint law do.
type reach struct {
	input        int        // of the study
	column       int        // the first
	centre, a, b []float64  // by column; b of an interval is 0, and all of a curve's but the centre, which is in its midst
	plane        bool       // an ellipse
	hollow       bool       // the rim alone
	points       law.Points // of a curve
}

// reaches lists the inputs' sets. unbounded names the first input without limits, or whose limits are not known.
func (s *Study) reaches() (out []reach, unbounded string) {
	c := 0
	for i := range s.Inputs {
		in := &s.Inputs[i]
		sets, bounded := in.reaches()
		if !bounded {
			return nil, in.Name
		}
		for _, r := range sets {
			r.input = i
			r.column += c
			out = append(out, r)
		}
		c += in.Columns()
	}
	return out, ""
}

// reaches lists the input's own sets, by its own columns.
func (in *Input) reaches() ([]reach, bool) {
	defer in.named()
	switch {
	case in.Joint != nil:
		sets, bounded := in.Joint.Reach()
		return jointReaches(sets), bounded
	case in.Plane != nil:
		e, ok := in.Plane.Reach()
		if p, pair := in.Plane.(law.Pair); !ok && pair {
			x, boundedX := intervalOf(p.X)
			y, boundedY := intervalOf(p.Y)
			y.column = 1
			return []reach{x, y}, boundedX && boundedY
		}
		sin, cos := math.Sincos(e.Angle)
		_, hollow := in.Plane.(law.Ring)
		return []reach{{
			centre: []float64{e.X, e.Y}, a: []float64{e.A * cos, e.A * sin}, b: []float64{-e.B * sin, e.B * cos}, plane: true, hollow: hollow,
		}}, ok
	}
	r, bounded := intervalOf(in.Law)
	return []reach{r}, bounded
}

// support is that of the input's law.
func (in *Input) support() (lowest, highest float64) {
	defer in.named()
	return in.Law.Support()
}

func intervalOf(l law.Law) (reach, bool) {
	lo, hi := l.Support()
	return reach{centre: []float64{(lo + hi) / 2}, a: []float64{(hi - lo) / 2}, b: []float64{0}}, !math.IsInf(lo, 0) && !math.IsInf(hi, 0)
}

// jointReaches are the sets of a joint law: two points are an interval.
func jointReaches(sets []law.Points) (out []reach) {
	for _, p := range sets {
		n := len(p[0])
		r := reach{centre: make([]float64, n), a: make([]float64, n), b: make([]float64, n)}
		if len(p) != 2 {
			copy(r.centre, p[len(p)/2])
			r.points = p
			out = append(out, r)
			continue
		}
		for k := range n {
			r.centre[k], r.a[k] = (p[0][k]+p[1][k])/2, (p[1][k]-p[0][k])/2
		}
		out = append(out, r)
	}
	return out
}

// extent is how far the set goes to either side in its column k, and a little more.
func (r *reach) extent(k int) float64 {
	if r.points == nil {
		return math.Abs(r.a[k]) + math.Abs(r.b[k])
	}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range r.points {
		lo, hi = math.Min(lo, p[k]), math.Max(hi, p[k])
	}
	return (hi - lo) / 2
}

// moves reports whether the set is more than one point.
func (r *reach) moves() bool {
	for k := range r.centre {
		if r.extent(k) > 0 {
			return true
		}
	}
	return false
}

// choice is a point of a reach: centre + sa·a + sb·b, or point k − 1 of a curve when k is not 0.
type choice struct {
	sa, sb float64
	k      int
}

// add adds the point to x.
func (r *reach) add(x []float64, c choice) {
	if c.k > 0 {
		for i, v := range r.points[c.k-1] {
			x[r.column+i] += v
		}
		return
	}
	for i, v := range r.centre {
		x[r.column+i] += v + c.sa*r.a[i] + c.sb*r.b[i]
	}
}

// farthest is the point of the set that is farthest along a slope by the model's columns; the centre for a slope of 0.
func (r *reach) farthest(slope []float64) choice {
	along := func(v []float64) (sum float64) {
		for i, x := range v {
			sum += slope[r.column+i] * x
		}
		return sum
	}
	if r.points != nil {
		best, at := math.Inf(-1), 0
		for k, p := range r.points {
			if v := along(p); v > best {
				best, at = v, k
			}
		}
		return choice{k: at + 1}
	}
	pa, pb := along(r.a), along(r.b)
	if size := math.Hypot(pa, pb); size > 0 {
		return choice{sa: pa / size, sb: pb / size}
	}
	return choice{}
}

// Unbounded names the first input without limits, which has no worst case; empty when all are bounded.
func (s *Study) Unbounded() string {
	_, name := s.reaches()
	return name
}
