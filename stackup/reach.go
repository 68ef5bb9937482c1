package stackup

import (
	"math"
	"slices"

	"example.com/borestack/stackup/law"
)

// reach is a set of deviations of one input: an interval or an ellipse about a centre. The set of all deviations is
// the sum of all reaches; several may share columns, as those of a joint law do.
type reach struct {
	input        int       // of the study
	column       int       // the first
	centre, a, b []float64 // by column; b of an interval is 0
	plane        bool      // an ellipse
	hollow       bool      // the rim alone
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
		in.moved.sets(sets)
		for _, r := range sets {
			r.input = i
			r.column += c
			out = append(out, r)
		}
		c += in.Columns()
	}
	return out, ""
}

// reaches lists the input's own sets, by its own columns, as they are before it is moved.
func (in *Input) reaches() (out []reach, bounded bool) {
	defer in.named()
	sets := []law.Set{{}}
	if bounded = in.moved != nil && in.moved.scale == 0; bounded { // a constant, whatever it was
		sets[0].Centre = in.moved.centre
	} else if sets, bounded = in.joint().Reach(); bounded && len(sets) == 0 { // nothing moves it
		sets = make([]law.Set, 1)
	}
	columns := in.Columns()
	full := func(v []float64) []float64 { return append(slices.Clone(v), make([]float64, columns-len(v))...) }
	for _, s := range sets {
		out = append(out, reach{centre: full(s.Centre), a: full(s.A), b: full(s.B), plane: s.B != nil, hollow: s.Rim})
	}
	return out, bounded
}

// sets moves the sets of an input: all are scaled, and the first of a column takes the rest of the way.
func (m *moved) sets(list []reach) {
	if m == nil {
		return
	}
	placed := make([]bool, len(m.centre))
	for i := range list {
		r := &list[i]
		for k := range r.centre {
			c := r.column + k
			if r.centre[k] *= m.scale; !placed[c] {
				r.centre[k] += (1-m.scale)*m.centre[c] + m.shift[c]
			}
			placed[c] = true
			r.a[k] *= m.scale
			r.b[k] *= m.scale
		}
	}
}

// support is that of the input's law.
func (in *Input) support() (lowest, highest float64) {
	defer in.named()
	lowest, highest = in.Law.Support()
	return in.moved.to(0, lowest), in.moved.to(0, highest)
}

// extent is how far the set goes to either side in its column k, and a little more.
func (r *reach) extent(k int) float64 { return math.Abs(r.a[k]) + math.Abs(r.b[k]) }

// moves reports whether the set is more than one point.
func (r *reach) moves() bool {
	for k := range r.centre {
		if r.extent(k) > 0 {
			return true
		}
	}
	return false
}

// choice is a point of a reach: centre + sa·a + sb·b.
type choice struct{ sa, sb float64 }

// add adds the point to x.
func (r *reach) add(x []float64, c choice) {
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
	return outermost(along(r.a), along(r.b))
}

// outermost is the point of a set whose half-axes reach so far in some direction.
func outermost(a, b float64) choice {
	if size := math.Hypot(a, b); size > 0 {
		return choice{a / size, b / size}
	}
	return choice{}
}

// Unbounded names the first input without limits, which has no worst case; empty when all are bounded.
func (s *Study) Unbounded() string {
	_, name := s.reaches()
	return name
}
