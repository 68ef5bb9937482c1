package floatset

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/borestack/align/internal/dense"
)

// A degenerate float differs by size from one that two or more constraints bound as one, or that
// has no extent.
type degenerate struct {
	name string
	make func(rng *rand.Rand, size float64) *Set
}

func disc(px, py, qx, qy, room float64, pin int) Constraint {
	return Constraint{PX: px, PY: py, QX: qx, QY: qy, Radius: room, Mark: pin}
}

func slab(px, py, qx, qy, room, angle float64, pin int) Constraint {
	f := disc(px, py, qx, qy, room, pin)
	f.Slab = true
	f.NY, f.NX = math.Sincos(angle)
	return f
}

func setOf(turns bool, f ...Constraint) *Set {
	s := &Set{Constraints: f, Turns: turns}
	s.Measure()
	return s
}

// lensOf are the two constraints of a register whose mouths lie so far apart in a random direction.
func lensOf(rng *rand.Rand, room, apart float64) (Constraint, Constraint) {
	sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
	return disc(0, 0, 0, 0, room, OfShift), disc(apart*sin, apart*cos, 0, 0, room, OfShift)
}

func degenerates() []degenerate {
	turn := func(rng *rand.Rand) (sin, cos float64) { return math.Sincos(2 * math.Pi * rng.Float64()) }
	// aimed at the middle of the lens, as a joint is
	aimed := func(s *Set) *Set {
		if len(s.Constraints) > 1 && s.Constraints[1].Mark == OfShift {
			s.Target.X, s.Target.Y = -s.Constraints[1].PX/2, -s.Constraints[1].PY/2
		}
		s.Aim(true)
		return s
	}
	return []degenerate{
		{"lens of near discs", func(rng *rand.Rand, size float64) *Set {
			a, b := lensOf(rng, 0.03, size)
			return aimed(setOf(false, a, b))
		}},
		{"lens of near discs and a pin", func(rng *rand.Rand, size float64) *Set {
			a, b := lensOf(rng, 0.03, size)
			s, c := turn(rng)
			return aimed(setOf(true, a, b, disc(0.004, -0.003, 70*s, 70*c, 0.02, 0)))
		}},
		{"lens of near discs and a flatted pin", func(rng *rand.Rand, size float64) *Set {
			a, b := lensOf(rng, 0.03, size)
			s, c := turn(rng)
			return aimed(setOf(true, a, b, slab(0.004, -0.003, 70*s, 70*c, 0.02, 1, 0), disc(0, 0, 50*c, -50*s, 0.025, 1)))
		}},
		{"lens of two points", func(rng *rand.Rand, size float64) *Set {
			a, b := lensOf(rng, 0.03, 0.06-size)
			return aimed(setOf(false, a, b))
		}},
		{"lens of two points and a pin", func(rng *rand.Rand, size float64) *Set {
			a, b := lensOf(rng, 0.03, 0.06-size)
			return aimed(setOf(true, a, b, disc(0.004, -0.003, 1200*b.PX, 1200*b.PY, 0.02, 0)))
		}},
		{"pin that just enters", func(rng *rand.Rand, size float64) *Set {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, OfShift), disc((0.05-size)*s, (0.05-size)*c, -70*c, 70*s, 0.02, 0)))
		}},
		{"pin with little room", func(rng *rand.Rand, size float64) *Set {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, OfShift), disc(0.004, -0.003, 70*s, 70*c, size, 0)))
		}},
		{"lens and a pin with little room", func(rng *rand.Rand, size float64) *Set {
			a, b := lensOf(rng, 0.03, 0.02)
			s, c := turn(rng)
			return aimed(setOf(true, a, b, disc(0.004, -0.003, 70*s, 70*c, size, 0)))
		}},
		{"pilot with little room", func(rng *rand.Rand, size float64) *Set {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, size, OfShift), disc(0.004, -0.003, 70*s, 70*c, 0.02, 0)))
		}},
		{"two pins with little room", func(rng *rand.Rand, size float64) *Set {
			s, c := turn(rng)
			f := setOf(true, disc(0.001, 0, 70*s, 70*c, 0.02, 0), disc(0.004, -0.003, -60*s, -60*c, size, 1))
			f.Aim(false)
			return f
		}},
		{"two pins nearly in one place", func(rng *rand.Rand, size float64) *Set {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, OfShift), disc(0.004, -0.003, 70*s, 70*c, 0.02, 0), disc(0.004+size, -0.003, 70*s+size, 70*c, 0.02, 1)))
		}},
		{"two pins nearly in one place, unlike rooms", func(rng *rand.Rand, size float64) *Set {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, OfShift), disc(0.004, -0.003, 70*s, 70*c, 0.02, 0), disc(0.004+size, -0.003, 70*s, 70*c+size, 0.02+size, 1)))
		}},
		{"pin nearly on the pilot's axis", func(rng *rand.Rand, size float64) *Set {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, OfShift), disc(0.004, -0.003, size, -size, 0.02, 0), disc(0.004, 0, 70*s, 70*c, 0.02, 1)))
		}},
		{"flatted pin that hardly holds the turn", func(rng *rand.Rand, size float64) *Set {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, OfShift), slab(0.004, -0.003, 70*c, 70*s+70*size, 0.02, math.Atan2(c, -s), 0), disc(0.004, 0, 60*s, 60*c, 0.02, 1)))
		}},
		{"two flatted pins nearly alike", func(rng *rand.Rand, size float64) *Set {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, OfShift), slab(0.004, -0.003, 70*c, 70*s, 0.02, 0.3+math.Atan2(s, c), 0), slab(0.004+size, -0.003, 70*c, 70*s, 0.02, 0.3+math.Atan2(s, c)+size, 1)))
		}},
		{"flatted pin with little room", func(rng *rand.Rand, size float64) *Set {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, OfShift), slab(0.004, -0.003, 70*c, 70*s, size, 0.3+math.Atan2(s, c), 0)))
		}},
		{"flatted pin that just enters", func(rng *rand.Rand, size float64) *Set {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, OfShift), disc(0, 0, 70*s, 70*c, 0.01, 0), slab((0.05-size)*s, (0.05-size)*c, -30*c, 30*s, 0.02, math.Atan2(c, s), 1)))
		}},
		{"bolts all round, nearly alike", func(rng *rand.Rand, size float64) *Set {
			var f []Constraint
			for i := range 6 {
				s, c := math.Sincos(math.Pi / 3 * float64(i))
				f = append(f, disc(size*s, 0, 70*s, 70*c, 0.02+size*c, -2))
			}
			s := setOf(true, f...)
			s.Aim(false)
			return s
		}},
		{"two pins that just enter", func(rng *rand.Rand, size float64) *Set {
			s, c := turn(rng)
			f := setOf(true, disc(0.02*s, 0.02*c, 70*s, 70*c, 0.02, 0), disc(-(0.01-size)*s, -(0.01-size)*c, -60*s, -60*c, 0.01, 1))
			f.Aim(false)
			return f
		}},
	}
}

// Rest and reach of every degenerate float, at exact zero, at sizes that are rounding and just
// above the thresholds, are those of a search without any.
//
// Source: a second method: nested golden section.
func TestFloatSet_degenerate(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for _, d := range degenerates() {
		for _, size := range []float64{0, 1e-20, 1e-14, 3e-12, 1.5e-10} {
			at := fmt.Sprintf("%s, %g", d.name, size)
			s := d.make(rng, size)
			// As given: prepare relaxes what fouls by rounding.
			w := &slow{&Set{Constraints: slices.Clone(s.Constraints), Turns: s.Turns, Fixed: s.Fixed, CharLength: s.CharLength, Target: s.Target}, 0.1}
			if err := s.Prepare(); err != nil {
				t.Fatalf("%s: %v", at, err)
			}
			if s.Lack > 0 {
				t.Errorf("%s: lacks %g", at, s.Lack)
				continue
			}
			// A float of thickness e is √(e·room) long, and the price lets the search thicken it by
			// 1e-10.
			most := 1e-8
			if s.Dim < 2 || s.thickness() < 1e-9 {
				if most = 1e-6; s.Thin() > openTol {
					most = 5e-6
				}
			}
			rest, err := s.Nearest()
			if err != nil {
				t.Fatalf("%s: %v", at, err)
			}
			off := s.Scaled(Vec{rest.X - s.Target.X, rest.Y - s.Target.Y, rest.G - s.Target.G})
			got, want := dense.Length3(off[0], off[1], off[2]), 0.0
			if w.set.slack(s.Target) < 0 {
				want = w.off()
			}
			if !(math.Abs(got-want) <= 1e-7) || !(w.set.slack(rest) >= -1e-10) {
				t.Errorf("%s: rests %.12g from the target, %g within its fences; the search %.12g", at, got, w.set.slack(rest), want)
			}
			pull := Vec{rng.NormFloat64(), rng.NormFloat64(), s.CharLength * rng.NormFloat64()}
			switch f := &s.Constraints[len(s.Constraints)-1]; {
			case s.Turns && size > 1e-10: // a thin float is long along a turn
				pull.X, pull.Y = 0, 0
			case rng.IntN(3) == 0: // straight at a constraint, or nearly
				if f.PX != 0 {
					pull = Vec{f.PX, f.PY, f.PX*f.QX + f.PY*f.QY + size}
				}
			case rng.IntN(3) == 0:
				pull.G = size
			case rng.IntN(3) == 0:
				pull.X, pull.Y = 0, size
			}
			long := dense.Length3(pull.X, pull.Y, pull.G/s.CharLength)
			pull = Vec{pull.X / long, pull.Y / long, pull.G / long}
			far, err := s.Farthest(pull)
			if err != nil {
				t.Fatalf("%s: %v", at, err)
			}
			got, want = pull.X*far.X+pull.Y*far.Y+pull.G*far.G, w.reach(pull)
			if !(math.Abs(got-want) <= most) || !(w.set.slack(far) >= -1e-10) {
				t.Errorf("%s: reaches %.12g along %v, %g within its fences; the search %.12g", at, got, pull, w.set.slack(far), want)
			}
		}
	}
}

// thickness is the least room of the constraints at the point that has most, or the least room
// given.
func (s *Set) thickness() float64 {
	c := *s
	c.Constraints, c.Open = slices.Clone(s.Constraints), nil
	eps, err := c.least()
	if err != nil {
		return 0
	}
	return -eps
}

// A constraint given again, or one that another implies, changes nothing: deleting it moves neither
// the rest nor the reach.
func TestFloatSet_deleting(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 31))
	for trial := range 700 {
		s := randomTwo(rng)
		if rng.IntN(3) == 0 { // with a flatted pin, which the closed forms do not know
			s.Constraints[len(s.Constraints)-1].Slab, s.Constraints[len(s.Constraints)-1].NY = true, 1
			s.Constraints = append(s.Constraints, disc(0, 0, 90, 20, 0.03, 2))
			s.Measure()
			s.Aim(true)
		}
		more := &Set{Constraints: slices.Clone(s.Constraints), Turns: s.Turns, CharLength: s.CharLength, Target: s.Target}
		size := []float64{0, 1e-20, 1e-18, 1e-16, 1e-14, 1e-12, 1e-11}[trial%7]
		again := more.Constraints[rng.IntN(len(more.Constraints))]
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		again.PX += size * sin
		again.PY += size * cos
		if rng.IntN(2) == 0 {
			again.Radius += size
		}
		more.Constraints = slices.Insert(more.Constraints, rng.IntN(len(more.Constraints)+1), again)
		for _, q := range []*Set{s, more} {
			if err := q.Prepare(); err != nil {
				t.Fatal(trial, err)
			}
		}
		if s.Lack > 0 || s.Dim < 3 {
			continue
		}
		a, err := s.Nearest()
		if err != nil {
			t.Fatal(trial, err)
		}
		b, err := more.Nearest()
		if err != nil {
			t.Fatal(trial, err)
		}
		// Beside a constraint that is the same but for more than rounding, the nearest point is
		// found to half the digits of its distance.
		most := 1e-9
		if size > 1e-13 {
			most = 1e-6
		}
		if d := s.Scaled(Vec{a.X - b.X, a.Y - b.Y, a.G - b.G}); !(dense.Length3(d[0], d[1], d[2]) <= most) {
			t.Errorf("trial %d, %g: rests at %v, with a fence again at %v", trial, size, a, b)
		}
		for n := range 3 {
			pull := Vec{rng.NormFloat64(), rng.NormFloat64(), s.CharLength * rng.NormFloat64()}
			switch n {
			case 0:
				pull.X, pull.Y = 0, 0
			case 1:
				pull.G = 0
			}
			a, err := s.Farthest(pull)
			if err != nil {
				t.Fatal(trial, err)
			}
			b, err := more.Farthest(pull)
			if err != nil {
				t.Fatal(trial, err)
			}
			long := dense.Length3(pull.X, pull.Y, pull.G/s.CharLength)
			if d := (pull.X*(a.X-b.X) + pull.Y*(a.Y-b.Y) + pull.G*(a.G-b.G)) / long; !(math.Abs(d) <= 1e-9) {
				t.Errorf("trial %d, %g: reaches %v along %v, with a fence again %v (%g)", trial, size, a, pull, b, d)
			}
		}
	}
}

// The farthest point of a lens, whatever its width, is the farthest of a dense sweep of its edge.
func TestShiftSet_point(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 40))
	const room, steps = 0.03, 4000
	for _, apart := range []float64{0, 1e-170, 1e-20, 1e-18, 1e-17, 1e-16, 1e-14, 1e-12, 1e-9, 1e-6, 1e-3, 0.02, 0.0599, 0.06} {
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		d := shiftSet{Constraint: Constraint{Radius: room}, lens: true, lx: apart * sin, ly: apart * cos}
		var edge [][2]float64
		for i := range steps { // rays from the middle: the lens is where both discs are
			s, c := math.Sincos(2 * math.Pi * float64(i) / steps)
			along := math.Abs(s*sin+c*cos) * apart / 2
			r := -along + math.Sqrt(math.Max(0, room*room-apart*apart/4+along*along))
			edge = append(edge, [2]float64{r*s - d.lx/2, r*c - d.ly/2})
		}
		for range 200 {
			s, c := math.Sincos(2 * math.Pi * rng.Float64())
			x, y := d.point(s, c)
			got, want := s*x+c*y, math.Inf(-1)
			for _, e := range edge {
				want = math.Max(want, s*e[0]+c*e[1])
			}
			// A step of the sweep hides room·(π/steps)²/2.
			if !(got >= want-1e-16) || !(got <= want+1e-8+apart*math.Pi/steps) {
				t.Errorf("apart %g: reaches %.12g, the sweep %.12g", apart, got, want)
			}
			if out := d.beyond(Vec{X: x, Y: y}); out > 1e-16 {
				t.Errorf("apart %g: %g outside", apart, out)
			}
		}
	}
}

// A constraint that a direction hardly moves does not cut the way along it, though the point stands
// on its rim or beyond by rounding.
func TestFloatSet_intervalAlongTheRim(t *testing.T) {
	for _, size := range []float64{0, 1e-20, 1e-18, 1e-16, 5e-15} {
		for _, out := range []float64{-1e-17, 0, 1e-17, 1e-16} {
			s := setOf(true, slab(0, 0, 0, 0, 0.02, 0, 0), disc(0, 0, 0, 0, 0.02, 1), disc(0, 0, 70, 0, 0.05, 2))
			s.openAll()
			lo, hi := s.interval([3]float64{0.02 + out, 0, 0}, [3]float64{size, 0, 1})
			// Source: hand calculation: only the third constraint moves, from 0.02 by 0.05 at most.
			if math.Abs(lo+0.07) > 1e-12 || math.Abs(hi-0.03) > 1e-12 {
				t.Errorf("moving %g, %g beyond: from %g to %g, want -0.07 to 0.03", size, out, lo, hi)
			}
		}
	}
}

// The chord of a disc from a point within, on and beyond its rim is where a walk by small steps
// leaves it.
//
// Source: a second method: bisection.
func TestFloatSet_chord(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 71))
	const room = 0.03
	for range 2000 {
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		d := room * []float64{0, rng.Float64(), 1, 1 - 1e-12, 1 - 1e-16, 1 + 1e-16}[rng.IntN(6)]
		tilt := []float64{rng.NormFloat64(), 1e-3, 1e-9, 0}[rng.IntN(4)] // of the direction, from the tangent
		x, y, ax, ay := d*sin, d*cos, cos+tilt*sin, -sin+tilt*cos
		lo, hi := chord(x, y, ax, ay, room)
		for _, sign := range [2]float64{-1, 1} {
			in, out := 0.0, sign
			for range 80 {
				if mid := (in + out) / 2; math.Hypot(x+mid*ax, y+mid*ay) <= math.Max(room, d) {
					in = mid
				} else {
					out = mid
				}
			}
			got := hi
			if sign < 0 {
				got = lo
			}
			// By rounding of the distance, bisection is off by √(2·room·1e-17) along a tangent.
			if math.Abs(got-in) > 2e-9 {
				t.Errorf("from %g of the room, tilt %g: %g, by bisection %g", d/room, tilt, got, in)
			}
		}
	}
}
