package align

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/bend"
	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/align/internal/tol"
)

// maxStrained bounds how many strained joints are tried flush and pilot-led in every combination; beyond it the rest stay flush.
const maxStrained = 8

// kernel works out one stack again and again in its own memory: parts, seats, places, circles, shaft line. It is for one goroutine. [Stack.Solve] and the plan's evaluator both use it, so their numbers are the same.
type kernel struct {
	stack Stack
	lay   *layout

	parts    []mountedPart
	flush    []seating
	led      []seating // pilot-led alternatives of strained joints
	seats    []*seating
	strained []int // joints with both alternatives
	placed   []Pose
	floats   []floatset.Vec // where each joint lies now

	circles []shaftline.Circle // those of line
	line    shaftline.Solver
	bender  bend.Solver
	bent    []int // circles of the group last bent
	refs    []placedReference
	list    []axisAt // centres of the line last worked out
	still   stillness
	placing int       // counts placings of the parts
	pick    []float64 // per joint: the number in (0, 1) that its float is drawn from; nil outside samples
	ledHow  int       // the combination of strained joints that governs: bit k set, joint strained[k] is pilot-led
}

// placedReference is a reference line as the parts were placed.
type placedReference struct {
	line    axisLine
	placing int
}

// workOut is a kernel that has solved a valid stack.
func workOut(s Stack) (*kernel, error) {
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

// solve works everything out from the stack's present numbers: seats, places and circles, each joint where it lies. What no source moves is worked out the first time alone.
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

// settle lays out the float and finds where the joint rests.
func (s *seating) settle() error {
	if err := s.set.Prepare(); err != nil {
		return err
	}
	var err error
	s.rest, err = s.set.Nearest()
	return err
}

// choose places the parts; among strained joints it takes the combination of flush and pilot-led seats with the smallest margin.
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
	u := math.NaN()
	if k.pick != nil {
		u = k.pick[i]
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

// centre is a bore's centre in S, worked out once for each placing of the parts.
func (k *kernel) centre(b boreAt) r3.Vec {
	q := &k.parts[b.part].bores[b.bore]
	if q.placing != k.placing {
		q.inS, q.placing = r3.Add(k.placed[b.part].apply(q.c), k.parts[b.part].moved), k.placing
	}
	return q.inS
}

// slope is a bore's axis slope in S.
func (k *kernel) slope(b boreAt) (sx, sy float64) {
	q := &k.parts[b.part].bores[b.bore]
	d := k.placed[b.part].rotate(r3.Vec{X: q.sx, Y: q.sy, Z: 1})
	return d.X / d.Z, d.Y / d.Z
}

// reference is reference line i in S, worked out once for each placing of the parts.
func (k *kernel) reference(i int) axisLine {
	r := &k.refs[i]
	if r.placing != k.placing {
		r.line, r.placing = k.lineOf(i), k.placing
	}
	return r.line
}

// lineOf works out reference line i.
func (k *kernel) lineOf(i int) axisLine {
	r := &k.lay.refs[i]
	if r.axis {
		a := k.axisAt(r.bores[0])
		return a.line()
	}
	k.list = k.list[:0]
	for _, b := range r.bores {
		c := k.centre(b)
		k.list = append(k.list, axisAt{x: c.X, y: c.Y, z: c.Z})
	}
	return bestLine(k.list)
}

// axisAt is a bore's axis in S.
func (k *kernel) axisAt(b boreAt) axisAt {
	c := k.centre(b)
	sx, sy := k.slope(b)
	return axisAt{c.X, c.Y, c.Z, sx, sy}
}

// chain is axial chain i's sum.
func (k *kernel) chain(i int) float64 {
	var sum float64
	for n := range k.stack.Chains[i].Links {
		l := &k.stack.Chains[i].Links[n]
		d := float64(l.Length)
		if at := k.lay.chains[i][n]; at.from.part >= 0 {
			d = k.faceZ(at.to) - k.faceZ(at.from)
		}
		sum += l.Gain.Or(1) * d
	}
	return sum
}

// faceZ is z in S where the part's frame axis meets its face.
func (k *kernel) faceZ(f faceAt) float64 { return k.onFace(f).Z }

// onFace is where that is.
func (k *kernel) onFace(f faceAt) r3.Vec {
	return k.placed[f.part].apply(r3.Vec{Z: k.parts[f.part].faces[f.side()].p.Z})
}
