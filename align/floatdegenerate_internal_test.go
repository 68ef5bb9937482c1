package align

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// A degenerate float differs by size from one that two or more fences bound as one, or that has no extent.
type degenerate struct {
	name string
	make func(rng *rand.Rand, size float64) *floatSet
}

func disc(px, py, qx, qy, room float64, pin int) fence {
	return fence{px: px, py: py, qx: qx, qy: qy, room: room, pin: pin}
}

func slab(px, py, qx, qy, room, angle float64, pin int) fence {
	f := disc(px, py, qx, qy, room, pin)
	f.slab = true
	f.ny, f.nx = math.Sincos(angle)
	return f
}

func setOf(turns bool, f ...fence) *floatSet {
	s := &floatSet{fences: f, turns: turns}
	s.measure()
	return s
}

// lensOf are the two fences of a register whose mouths lie so far apart in a random direction.
func lensOf(rng *rand.Rand, room, apart float64) (fence, fence) {
	sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
	return disc(0, 0, 0, 0, room, pilotFence), disc(apart*sin, apart*cos, 0, 0, room, pilotFence)
}

func degenerates() []degenerate {
	turn := func(rng *rand.Rand) (sin, cos float64) { return math.Sincos(2 * math.Pi * rng.Float64()) }
	// aimed at the middle of the lens, as a joint is
	aimed := func(s *floatSet) *floatSet {
		if len(s.fences) > 1 && s.fences[1].pin == pilotFence {
			s.target.x, s.target.y = -s.fences[1].px/2, -s.fences[1].py/2
		}
		s.aim(true)
		return s
	}
	return []degenerate{
		{"lens of near discs", func(rng *rand.Rand, size float64) *floatSet {
			a, b := lensOf(rng, 0.03, size)
			return aimed(setOf(false, a, b))
		}},
		{"lens of near discs and a pin", func(rng *rand.Rand, size float64) *floatSet {
			a, b := lensOf(rng, 0.03, size)
			s, c := turn(rng)
			return aimed(setOf(true, a, b, disc(0.004, -0.003, 70*s, 70*c, 0.02, 0)))
		}},
		{"lens of near discs and a flatted pin", func(rng *rand.Rand, size float64) *floatSet {
			a, b := lensOf(rng, 0.03, size)
			s, c := turn(rng)
			return aimed(setOf(true, a, b, slab(0.004, -0.003, 70*s, 70*c, 0.02, 1, 0), disc(0, 0, 50*c, -50*s, 0.025, 1)))
		}},
		{"lens of two points", func(rng *rand.Rand, size float64) *floatSet {
			a, b := lensOf(rng, 0.03, 0.06-size)
			return aimed(setOf(false, a, b))
		}},
		{"lens of two points and a pin", func(rng *rand.Rand, size float64) *floatSet {
			a, b := lensOf(rng, 0.03, 0.06-size)
			return aimed(setOf(true, a, b, disc(0.004, -0.003, 1200*b.px, 1200*b.py, 0.02, 0)))
		}},
		{"pin that just enters", func(rng *rand.Rand, size float64) *floatSet {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, pilotFence), disc((0.05-size)*s, (0.05-size)*c, -70*c, 70*s, 0.02, 0)))
		}},
		{"pin with little room", func(rng *rand.Rand, size float64) *floatSet {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, pilotFence), disc(0.004, -0.003, 70*s, 70*c, size, 0)))
		}},
		{"lens and a pin with little room", func(rng *rand.Rand, size float64) *floatSet {
			a, b := lensOf(rng, 0.03, 0.02)
			s, c := turn(rng)
			return aimed(setOf(true, a, b, disc(0.004, -0.003, 70*s, 70*c, size, 0)))
		}},
		{"pilot with little room", func(rng *rand.Rand, size float64) *floatSet {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, size, pilotFence), disc(0.004, -0.003, 70*s, 70*c, 0.02, 0)))
		}},
		{"two pins with little room", func(rng *rand.Rand, size float64) *floatSet {
			s, c := turn(rng)
			f := setOf(true, disc(0.001, 0, 70*s, 70*c, 0.02, 0), disc(0.004, -0.003, -60*s, -60*c, size, 1))
			f.aim(false)
			return f
		}},
		{"two pins nearly in one place", func(rng *rand.Rand, size float64) *floatSet {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, pilotFence), disc(0.004, -0.003, 70*s, 70*c, 0.02, 0), disc(0.004+size, -0.003, 70*s+size, 70*c, 0.02, 1)))
		}},
		{"two pins nearly in one place, unlike rooms", func(rng *rand.Rand, size float64) *floatSet {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, pilotFence), disc(0.004, -0.003, 70*s, 70*c, 0.02, 0), disc(0.004+size, -0.003, 70*s, 70*c+size, 0.02+size, 1)))
		}},
		{"pin nearly on the pilot's axis", func(rng *rand.Rand, size float64) *floatSet {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, pilotFence), disc(0.004, -0.003, size, -size, 0.02, 0), disc(0.004, 0, 70*s, 70*c, 0.02, 1)))
		}},
		{"flatted pin that hardly holds the turn", func(rng *rand.Rand, size float64) *floatSet {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, pilotFence), slab(0.004, -0.003, 70*c, 70*s+70*size, 0.02, math.Atan2(c, -s), 0), disc(0.004, 0, 60*s, 60*c, 0.02, 1)))
		}},
		{"two flatted pins nearly alike", func(rng *rand.Rand, size float64) *floatSet {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, pilotFence), slab(0.004, -0.003, 70*c, 70*s, 0.02, 0.3+math.Atan2(s, c), 0), slab(0.004+size, -0.003, 70*c, 70*s, 0.02, 0.3+math.Atan2(s, c)+size, 1)))
		}},
		{"flatted pin with little room", func(rng *rand.Rand, size float64) *floatSet {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, pilotFence), slab(0.004, -0.003, 70*c, 70*s, size, 0.3+math.Atan2(s, c), 0)))
		}},
		{"flatted pin that just enters", func(rng *rand.Rand, size float64) *floatSet {
			s, c := turn(rng)
			return aimed(setOf(true, disc(0, 0, 0, 0, 0.03, pilotFence), disc(0, 0, 70*s, 70*c, 0.01, 0), slab((0.05-size)*s, (0.05-size)*c, -30*c, 30*s, 0.02, math.Atan2(c, s), 1)))
		}},
		{"bolts all round, nearly alike", func(rng *rand.Rand, size float64) *floatSet {
			var f []fence
			for i := range 6 {
				s, c := math.Sincos(math.Pi / 3 * float64(i))
				f = append(f, disc(size*s, 0, 70*s, 70*c, 0.02+size*c, boltFence))
			}
			s := setOf(true, f...)
			s.aim(false)
			return s
		}},
		{"two pins that just enter", func(rng *rand.Rand, size float64) *floatSet {
			s, c := turn(rng)
			f := setOf(true, disc(0.02*s, 0.02*c, 70*s, 70*c, 0.02, 0), disc(-(0.01-size)*s, -(0.01-size)*c, -60*s, -60*c, 0.01, 1))
			f.aim(false)
			return f
		}},
	}
}

// Rest and reach of every degenerate float, at exact zero, at sizes that are rounding and just above the thresholds, are those of a search without any.
//
// Source: a second method: nested golden section.
func TestFloatSet_degenerate(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	for _, d := range degenerates() {
		for _, size := range []float64{0, 1e-20, 1e-14, 3e-12, 1.5e-10} {
			at := fmt.Sprintf("%s, %g", d.name, size)
			s := d.make(rng, size)
			// As given: prepare relaxes what fouls by rounding.
			w := &slow{&floatSet{fences: slices.Clone(s.fences), turns: s.turns, fixed: s.fixed, lever: s.lever, target: s.target}, 0.1}
			if err := s.prepare(); err != nil {
				t.Fatalf("%s: %v", at, err)
			}
			if s.lack > 0 {
				t.Errorf("%s: lacks %g", at, s.lack)
				continue
			}
			// A float of thickness e is √(e·room) long, and the price lets the search thicken it by 1e-10.
			most := 1e-8
			if s.dim < 2 || s.thickness() < 1e-9 {
				if most = 1e-6; s.thin() > openTol {
					most = 5e-6
				}
			}
			rest, err := s.nearest()
			if err != nil {
				t.Fatalf("%s: %v", at, err)
			}
			off := s.scaled(float3{rest.x - s.target.x, rest.y - s.target.y, rest.g - s.target.g})
			got, want := size3(r3.Vec{X: off[0], Y: off[1], Z: off[2]}), 0.0
			if w.set.slack(s.target) < 0 {
				want = w.off()
			}
			if !(math.Abs(got-want) <= 1e-7) || !(w.set.slack(rest) >= -1e-10) {
				t.Errorf("%s: rests %.12g from the target, %g within its fences; the search %.12g", at, got, w.set.slack(rest), want)
			}
			pull := float3{rng.NormFloat64(), rng.NormFloat64(), s.lever * rng.NormFloat64()}
			switch f := &s.fences[len(s.fences)-1]; {
			case s.turns && size > 1e-10: // a thin float is long along a turn
				pull.x, pull.y = 0, 0
			case rng.IntN(3) == 0: // straight at a fence, or nearly
				if f.px != 0 {
					pull = float3{f.px, f.py, f.px*f.qx + f.py*f.qy + size}
				}
			case rng.IntN(3) == 0:
				pull.g = size
			case rng.IntN(3) == 0:
				pull.x, pull.y = 0, size
			}
			long := size3(r3.Vec{X: pull.x, Y: pull.y, Z: pull.g / s.lever})
			pull = float3{pull.x / long, pull.y / long, pull.g / long}
			far, err := s.farthest(pull)
			if err != nil {
				t.Fatalf("%s: %v", at, err)
			}
			got, want = pull.x*far.x+pull.y*far.y+pull.g*far.g, w.reach(pull)
			if !(math.Abs(got-want) <= most) || !(w.set.slack(far) >= -1e-10) {
				t.Errorf("%s: reaches %.12g along %v, %g within its fences; the search %.12g", at, got, pull, w.set.slack(far), want)
			}
		}
	}
}

// thickness is the least room of the fences at the point that has most, or the least room given.
func (s *floatSet) thickness() float64 {
	c := *s
	c.fences, c.open = slices.Clone(s.fences), nil
	eps, err := c.least(s.fixed)
	if err != nil {
		return 0
	}
	return -eps
}

// A fence given again, or one that another implies, changes nothing: deleting it moves neither the rest nor the reach.
func TestFloatSet_deleting(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 31))
	for trial := range 700 {
		s := randomTwo(rng)
		if rng.IntN(3) == 0 { // with a flatted pin, which the closed forms do not know
			s.fences[len(s.fences)-1].slab, s.fences[len(s.fences)-1].ny = true, 1
			s.fences = append(s.fences, disc(0, 0, 90, 20, 0.03, 2))
			s.measure()
			s.aim(true)
		}
		more := &floatSet{fences: slices.Clone(s.fences), turns: s.turns, lever: s.lever, target: s.target}
		size := []float64{0, 1e-20, 1e-18, 1e-16, 1e-14, 1e-12, 1e-11}[trial%7]
		again := more.fences[rng.IntN(len(more.fences))]
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		again.px += size * sin
		again.py += size * cos
		if rng.IntN(2) == 0 {
			again.room += size
		}
		more.fences = slices.Insert(more.fences, rng.IntN(len(more.fences)+1), again)
		for _, q := range []*floatSet{s, more} {
			if err := q.prepare(); err != nil {
				t.Fatal(trial, err)
			}
		}
		if s.lack > 0 || s.dim < 3 {
			continue
		}
		a, err := s.nearest()
		if err != nil {
			t.Fatal(trial, err)
		}
		b, err := more.nearest()
		if err != nil {
			t.Fatal(trial, err)
		}
		// Beside a fence that is the same but for more than rounding, the nearest point is found to half the digits of its distance.
		most := 1e-9
		if size > 1e-13 {
			most = 1e-6
		}
		if d := s.scaled(float3{a.x - b.x, a.y - b.y, a.g - b.g}); !(size3(r3.Vec{X: d[0], Y: d[1], Z: d[2]}) <= most) {
			t.Errorf("trial %d, %g: rests at %v, with a fence again at %v", trial, size, a, b)
		}
		for n := range 3 {
			pull := float3{rng.NormFloat64(), rng.NormFloat64(), s.lever * rng.NormFloat64()}
			switch n {
			case 0:
				pull.x, pull.y = 0, 0
			case 1:
				pull.g = 0
			}
			a, err := s.farthest(pull)
			if err != nil {
				t.Fatal(trial, err)
			}
			b, err := more.farthest(pull)
			if err != nil {
				t.Fatal(trial, err)
			}
			long := size3(r3.Vec{X: pull.x, Y: pull.y, Z: pull.g / s.lever})
			if d := (pull.x*(a.x-b.x) + pull.y*(a.y-b.y) + pull.g*(a.g-b.g)) / long; !(math.Abs(d) <= 1e-9) {
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
		d := shiftSet{room: room, lens: true, lx: apart * sin, ly: apart * cos}
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
			if out := d.beyond(float3{x: x, y: y}); out > 1e-16 {
				t.Errorf("apart %g: %g outside", apart, out)
			}
		}
	}
}

// A fence that a direction hardly moves does not cut the way along it, though the point stands on its rim or beyond by rounding.
func TestFloatSet_intervalAlongTheRim(t *testing.T) {
	for _, size := range []float64{0, 1e-20, 1e-18, 1e-16, 5e-15} {
		for _, out := range []float64{-1e-17, 0, 1e-17, 1e-16} {
			s := setOf(true, slab(0, 0, 0, 0, 0.02, 0, 0), disc(0, 0, 0, 0, 0.02, 1), disc(0, 0, 70, 0, 0.05, 2))
			s.openAll()
			lo, hi := s.interval([3]float64{0.02 + out, 0, 0}, [3]float64{size, 0, 1})
			// Source: hand calculation: only the third fence moves, from 0.02 by 0.05 at most.
			if math.Abs(lo+0.07) > 1e-12 || math.Abs(hi-0.03) > 1e-12 {
				t.Errorf("moving %g, %g beyond: from %g to %g, want -0.07 to 0.03", size, out, lo, hi)
			}
		}
	}
}

// The chord of a disc from a point within, on and beyond its rim is where a walk by small steps leaves it.
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
		lo, hi := chord(x, y, ax, ay, ax*ax+ay*ay, room)
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
