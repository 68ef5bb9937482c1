package align

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Travel is how far the part behind a joint can be pushed and turned before it is tightened: what
// two dials on its rim and one on a lug show when it is pushed both ways. Shifts are across the
// shaft line in S, of the registration point from where the two parts' points coincide; turns are
// clockwise seen from the tail. The zero value is not a meaningful travel.
type Travel struct {
	Joint string
	X, Y  [2]tolerance.Length // least and greatest along 3 and along 12 o'clock, each over the whole float
	Turn  [2]tolerance.Angle  // least and greatest; both alike where the part cannot be turned
	Turns bool                // it can be turned at all; else the bolt pattern sets the clock

	toS, fromS [2][2]float64 // of shifts: front part's frame to S, and back
	set        floatset.Set
}

// Travel works out how far the part behind the joint of that name can be pushed, the parts in front
// of it where they lie. A measured float does not narrow it: it says where the part was, not where
// it can go.
func (s Stack) Travel(joint string) (*Travel, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	k, err := workOut(s)
	if err != nil {
		return nil, err
	}
	for i := range s.Joints {
		if s.JointName(i) == joint {
			return k.travel(i)
		}
	}
	return nil, fmt.Errorf("align: joint %q: %w", joint, fault.ErrUnknownName)
}

func (k *kernel) travel(i int) (*Travel, error) {
	s := k.seats[i]
	t := &Travel{Joint: k.stack.JointName(i), Turns: s.set.Turns, set: s.set}
	for c, d := range [2]r3.Vec{{X: 1, Z: s.mx}, {Y: 1, Z: s.my}} {
		v := k.placed[i].rotate(d)
		t.toS[0][c], t.toS[1][c] = v.X, v.Y
	}
	det := t.toS[0][0]*t.toS[1][1] - t.toS[0][1]*t.toS[1][0]
	t.fromS = [2][2]float64{{t.toS[1][1] / det, -t.toS[0][1] / det}, {-t.toS[1][0] / det, t.toS[0][0] / det}}
	for c, ends := range [2]*[2]tolerance.Length{&t.X, &t.Y} {
		row := t.toS[c]
		for n, sign := range [2]float64{-1, 1} {
			v, err := s.set.Farthest(floatset.Vec{X: sign * row[0], Y: sign * row[1]})
			if err != nil {
				return nil, err
			}
			ends[n] = tolerance.Length(row[0]*v.X + row[1]*v.Y)
		}
	}
	if s.set.Turns {
		lo, hi, err := s.set.TurnRange()
		if err != nil {
			return nil, err
		}
		t.Turn = [2]tolerance.Angle{tolerance.Angle(-hi), tolerance.Angle(-lo)}
	}
	return t, nil
}

// Middle is halfway along both dials and halfway between the ends of the turn, in S.
func (t *Travel) Middle() Float {
	return Float{X: (t.X[0] + t.X[1]) / 2, Y: (t.Y[0] + t.Y[1]) / 2, Turn: (t.Turn[0] + t.Turn[1]) / 2}
}

// InS restates a float of the joint, which is in the front part's x and y, along 3 and 12 o'clock
// of S.
func (t *Travel) InS(f Float) Float {
	f.X, f.Y = across(t.toS, f.X, f.Y)
	return f
}

// InFront restates a shift along 3 and 12 o'clock of S in the front part's x and y: the float of
// the joint.
func (t *Travel) InFront(f Float) Float {
	f.X, f.Y = across(t.fromS, f.X, f.Y)
	return f
}

func across(m [2][2]float64, x, y tolerance.Length) (tolerance.Length, tolerance.Length) {
	a, b := float64(x), float64(y)
	return tolerance.Length(m[0][0]*a + m[0][1]*b), tolerance.Length(m[1][0]*a + m[1][1]*b)
}

// Allows reports whether a float of the joint, in the front part's frame, is one that pilot, pins
// and bolts leave it, none of them short by more than lack.
func (t *Travel) Allows(f Float, lack tolerance.Length) bool {
	v := floatset.Vec{X: float64(f.X), Y: float64(f.Y), G: -float64(f.Turn)}
	more := math.Max(float64(lack), floatset.FoulTol)
	if !t.set.Turns && math.Abs(v.G) > turnTol {
		return false
	}
	if t.set.Fixed && dense.Length(v.X-t.set.Target.X, v.Y-t.set.Target.Y) > more {
		return false
	}
	return t.set.Roomy(v, -more, -1)
}

// turnTol is a turn that is rounding: a tenth of a nanometre at 100 mm.
const turnTol = 1e-12

// TurnAt is how far the part can be turned while it is held at the shift of f, which is in the
// front part's frame: least and greatest, clockwise seen from the tail. False: it cannot be held
// there at all.
func (t *Travel) TurnAt(f Float) (ends [2]tolerance.Angle, ok bool) {
	v := floatset.Vec{X: float64(f.X), Y: float64(f.Y)}
	if t.set.Fixed && dense.Length(v.X-t.set.Target.X, v.Y-t.set.Target.Y) > floatset.FoulTol {
		return ends, false
	}
	lo, hi := floatset.TurnsAt(t.set.Constraints, v, floatset.FoulTol)
	if !t.set.Turns {
		lo, hi = 0, 0
	}
	if lo > hi {
		if lo-hi > turnTol {
			return ends, false
		}
		lo, hi = (lo+hi)/2, (lo+hi)/2
	}
	if v.G = (lo + hi) / 2; !t.set.Roomy(v, -2*floatset.FoulTol, -1) {
		return ends, false
	}
	return [2]tolerance.Angle{tolerance.Angle(-hi), tolerance.Angle(-lo)}, true
}
