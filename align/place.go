package align

import (
	"fmt"
	"math"
	"reflect"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/tol"
)

// maxStrained bounds how many strained joints are tried flush and pilot-led in every combination;
// beyond it the rest stay flush.
const maxStrained = 8

// workOut is a kernel that has solved a valid stack; its candidates and states do not come in.
func workOut(s Stack) (*kernel, error) {
	s.Candidates, s.States = nil, nil
	k := newKernel(s, newLayout(&s))
	if err := k.solve(); err != nil {
		return nil, err
	}
	return k, nil
}

// newKernel makes a kernel for its own copy of a valid stack.
func newKernel(s Stack, l *layout) *kernel {
	k := &kernel{stack: s.Clone(), lay: l}
	n := len(k.stack.Parts)
	k.parts = make([]mountedPart, n)
	for i := range k.parts {
		k.parts[i] = newMountedPart(&k.stack.Parts[i])
	}
	k.flush = make([]seating, len(k.stack.Joints))
	k.led = make([]seating, len(k.stack.Joints))
	k.seats = make([]*seating, len(k.stack.Joints))
	k.placed = make([]Pose, n)
	k.floats = make([]floatset.Vec, len(k.stack.Joints))
	k.refs = make([]placedReference, len(l.refs))
	k.still = stillness{make([]bool, n), make([]bool, len(k.stack.Joints))}
	k.layCircles()
	return k
}

// solve works everything out from the stack's present numbers: seats, places and circles, each
// joint where it lies. What no source moves is worked out the first time alone.
func (k *kernel) solve() error {
	for i := range k.parts {
		if !k.still.parts[i] {
			k.parts[i].mount(&k.stack.Parts[i])
		}
	}
	k.strained = k.strained[:0]
	for i := range k.flush {
		if err := k.seatJoint(i); err != nil {
			return err
		}
	}
	return k.choose()
}

// seatJoint works out joint i flush, pilot-led, or both.
func (k *kernel) seatJoint(i int) error {
	j := &k.stack.Joints[i]
	s, led := &k.flush[i], &k.led[i]
	k.seats[i] = s
	fa, fb := k.parts[i].rear, k.parts[i+1].front
	if !k.still.joints[i] {
		led.led = false
		if err := s.seat(j, fa, fb, k.lay.pins[i]); err != nil {
			return fmt.Errorf("joint %q: %w", k.stack.JointName(i), err)
		}
		if j.Rules == RulesPilot {
			s.lead()
		}
		if err := s.settle(); err != nil {
			return err
		}
	}
	if j.Rules != RulesAuto || !(s.strain > 0) || !s.canLead || len(k.strained) == maxStrained || len(k.stack.Shafts) == 0 {
		return nil
	}
	k.strained = append(k.strained, i)
	if k.still.joints[i] && led.led {
		return nil
	}
	if err := led.seat(j, fa, fb, k.lay.pins[i]); err != nil {
		return err
	}
	led.lead()
	return led.settle()
}

// choose places the parts; among strained joints it takes the combination of flush and pilot-led
// seats with the smallest margin.
func (k *kernel) choose() error {
	k.ledHow = 0
	if len(k.strained) == 0 {
		return k.place()
	}
	least := math.Inf(1)
	for how := range 1 << len(k.strained) {
		k.take(how)
		if err := k.place(); err != nil {
			return err
		}
		m, err := k.line.Margin()
		if err != nil {
			return err
		}
		if m < least-tol.Touching {
			least, k.ledHow = m, how
		}
	}
	k.take(k.ledHow)
	return k.place()
}

// take sets the seats of a combination.
func (k *kernel) take(how int) {
	for b, i := range k.strained {
		k.seats[i] = &k.flush[i]
		if how>>b&1 == 1 {
			k.seats[i] = &k.led[i]
		}
	}
}

// place sets each joint where it lies, from the base rearward, and the circles.
func (k *kernel) place() error {
	base := Pose{}
	k.placed[0] = base
	for i, s := range k.seats {
		f, err := k.lies(i, base)
		if err != nil {
			return err
		}
		s.at, k.floats[i] = f, f
		base = base.compose(s.pose(f))
		k.placed[i+1] = base
	}
	k.setCircles()
	return nil
}

// lies is where joint i lies in its float, A lying at base.
func (k *kernel) lies(i int, base Pose) (floatset.Vec, error) {
	j, s := &k.stack.Joints[i], k.seats[i]
	if j.Float != nil {
		return floatset.Vec{X: float64(j.Float.X), Y: float64(j.Float.Y), G: -float64(j.Float.Turn)}, nil
	}
	var u *floatset.Numbers
	if k.pick != nil {
		u = &k.pick[i]
	}
	// falling is against y of S; along the meeting plane, in A
	ex := base.rotate(r3.Vec{X: 1, Z: s.mx})
	ey := base.rotate(r3.Vec{Y: 1, Z: s.my})
	return lieIn(&s.set, j.Lies, s.rest, -ex.Y, -ey.Y, u)
}

// placeAt puts the joints at the given floats.
func (k *kernel) placeAt(floats []floatset.Vec) {
	base := Pose{}
	for i, s := range k.seats {
		k.floats[i] = floats[i]
		base = base.compose(s.pose(floats[i]))
		k.placed[i+1] = base
	}
	k.setCircles()
}

// findStill looks which parts and joints the slots lie in, and works out those that hold none, once
// for all.
func (k *kernel) findStill(slots []slot) error {
	moved := map[uintptr]bool{}
	for i := range slots {
		moved[slots[i].number.Addr().Pointer()] = true
	}
	still := func(v any) bool {
		return !slices.ContainsFunc(numbersIn(reflect.ValueOf(v).Elem(), nil), func(n reflect.Value) bool { return moved[n.Addr().Pointer()] })
	}
	if err := k.solve(); err != nil {
		return err
	}
	for i := range k.still.parts {
		k.still.parts[i] = still(&k.stack.Parts[i])
	}
	for i := range k.still.joints {
		k.still.joints[i] = k.still.parts[i] && k.still.parts[i+1] && still(&k.stack.Joints[i])
	}
	return nil
}
