package floatset

import (
	"math"

	"example.com/borestack/align/internal/dense"
)

// Most floats are those of two features: a pilot, or the lens of a pilot that leans, and a pin; or
// two pins. Their farthest point has one unknown.

// shiftSet is where the shift f (with γ q added) may be: one constraint, or the lens of two equal
// discs with the same arm q, however near to each other.
type shiftSet struct {
	Constraint         // the slab, or the first disc
	lens       bool    // of two discs,
	lx, ly     float64 // the second's middle at -l from the first's
	at         [2]int  // the constraints
}

// lookForSets looks for the sets, once a build.
func (s *Set) lookForSets() {
	if s.looked {
		return
	}
	s.looked, s.pair = true, twoSets{}
	s.sets = s.sets[:0]
	if s.whole() && !s.shiftSets() {
		s.sets = s.sets[:0]
	}
	if len(s.sets) >= 2 && !s.sets[0].Slab && !s.sets[1].Slab {
		s.pair = pairOf(&s.sets[0], &s.sets[1])
	}
}

// shiftSets groups the constraints into sets of full constraints with the same arm and slabs of
// flatted pins: two or more where it turns, and otherwise one that is full. It reports false where
// they are anything else.
func (s *Set) shiftSets() bool {
next:
	for i := range s.Constraints {
		f := &s.Constraints[i]
		for k := range s.sets {
			if d := &s.sets[k]; !f.Slab && !d.Slab && d.QX == f.QX && d.QY == f.QY {
				if d.lens || d.Radius != f.Radius {
					return false
				}
				d.lens, d.lx, d.ly, d.at[1] = true, f.PX-d.PX, f.PY-d.PY, i
				continue next
			}
		}
		s.sets = append(s.sets, shiftSet{Constraint: *f, at: [2]int{i, i}})
	}
	if s.Turns {
		return len(s.sets) > 1
	}
	return len(s.sets) == 1 && !s.sets[0].Slab
}

// beyond is how far v is outside the set.
func (d *shiftSet) beyond(v Vec) float64 {
	x, y := d.from(v)
	out := dense.Length(x, y)
	if d.lens {
		out = math.Max(out, dense.Length(x+d.lx, y+d.ly))
	}
	return out - d.Radius
}

// point is the farthest point of the set in direction (ux, uy), which need not be a unit vector; as
// a displacement p + f + γq. Without a direction it is the set's middle.
//
// A disc's own farthest point r u is the lens's while |r u + l| ≤ r, that is u·l ≤ -l²/2r; between
// the two discs' shares of the directions lie those of a corner. Said that way nothing cancels:
// discs that coincide but for rounding leave a corner directions that are as good as none, and
// there the disc's point is the corner.
func (d *shiftSet) point(ux, uy float64) (x, y float64) {
	size := math.Sqrt(ux*ux + uy*uy)
	if size == 0 {
		return -d.lx / 2, -d.ly / 2
	}
	ux, uy = ux/size, uy/size
	x, y = d.Radius*ux, d.Radius*uy
	if !d.lens {
		return x, y
	}
	along, half := ux*d.lx+uy*d.ly, (d.lx*d.lx+d.ly*d.ly)/2
	switch {
	case d.Radius*along <= -half:
		return x, y
	case d.Radius*along >= half:
		return x - d.lx, y - d.ly
	}
	// Half a chord, square to l, on the side of u.
	apart := math.Sqrt(2 * half)
	chord := math.Sqrt(math.Max(0, (d.Radius-apart/2)*(d.Radius+apart/2)))
	nx, ny := -d.ly/apart, d.lx/apart
	if nx*ux+ny*uy < 0 {
		chord = -chord
	}
	return chord*nx - d.lx/2, chord*ny - d.ly/2
}
