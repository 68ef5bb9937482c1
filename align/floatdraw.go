package align

import (
	"math"
	"math/rand/v2"
)

// A float is drawn from one number in (0, 1): it seeds the few numbers that rejection needs, so that a sample is the same wherever it is drawn.

const (
	tries     = 2000 // of rejection before walking instead
	walkSteps = 60   // of a hit-and-run walk, which forgets its start within a dozen
)

// floatSeed is the second half of the seed of a float's draw; any constant will do, but it must not change.
const floatSeed = 0x626f7265

// uniform is a point of F drawn uniformly in (fx, fy, lever·γ).
//
// With r = p + f + γq at one full fence, (r, γ) has the same measure as (f, γ): r is drawn in that fence's disc, γ in the window that another fence leaves at most, which moves with r, and the pair is kept if it is within them all.
func (s *floatSet) uniform(u float64) (float3, error) {
	if s.dim == 0 {
		return s.nearest()
	}
	var source rand.PCG
	if s.dim == 1 {
		source.Seed(math.Float64bits(u), floatSeed)
		lo, hi := s.interval(s.base, s.span[0])
		return s.atSpan([]float64{lo + (hi-lo)*fraction(&source), 0, 0}), nil
	}
	if len(s.open) == len(s.fences) && (s.dim == 3 || !s.turns) {
		if at, ok := s.sight(); ok {
			if v, ok := s.draw(&at, u); ok {
				return v, nil
			}
		}
	}
	source.Seed(math.Float64bits(u), floatSeed)
	return s.walk(&source)
}

// sight is what points of F are drawn from when every fence is open: the disc of one fence, and the window of turns that another leaves.
type sight struct {
	disc   int // fence
	window turnWindow
}

// sight chooses the tightest disc and the narrowest window; false when there is none.
func (s *floatSet) sight() (at sight, ok bool) {
	at.disc = s.tightest()
	if at.disc < 0 {
		return at, false
	}
	if s.turns {
		at.window = s.window(at.disc)
	}
	return at, !s.turns || at.window.half > 0
}

// draw draws a point of F by rejection; false when too few points are kept.
func (s *floatSet) draw(at *sight, u float64) (float3, bool) {
	f, w := &s.fences[at.disc], &at.window
	var source rand.PCG
	source.Seed(math.Float64bits(u), floatSeed)
	for range tries {
		x, y := inDisc(&source)
		x, y = f.room*x, f.room*y
		g := s.target.g
		if s.turns {
			g = w.middle + w.x*x + w.y*y + w.half*(2*fraction(&source)-1)
		}
		v := float3{x - f.px - g*f.qx, y - f.py - g*f.qy, g}
		if s.roomy(v, 0) {
			return v, true
		}
	}
	return float3{}, false
}

// fraction is a number in (0, 1).
func fraction(source *rand.PCG) float64 { return (float64(int64(source.Uint64()>>12)) + 0.5) * 0x1p-52 }

// inDisc is a point of the unit disc.
func inDisc(source *rand.PCG) (x, y float64) {
	for {
		w := source.Uint64()
		x, y = (float64(int32(w>>32))+0.5)*0x1p-31, (float64(int32(w))+0.5)*0x1p-31
		if x*x+y*y <= 1 {
			return x, y
		}
	}
}

// tightest is the full fence with the least room; −1 when there is none.
func (s *floatSet) tightest() int {
	best := -1
	for i := range s.fences {
		if f := &s.fences[i]; !f.slab && (best < 0 || f.room < s.fences[best].room) {
			best = i
		}
	}
	return best
}

// turnWindow is where γ may be, given (x, y) from the middle of one fence: within half of middle + x·x + y·y.
type turnWindow struct{ middle, x, y, half float64 }

// window is the narrowest turn window that another fence leaves beside fence k, all fences being open; its half is 0 when there is none. With d + (x, y) + γa at the other fence, γ is never farther than room/|a| from where that comes nearest to the middle.
func (s *floatSet) window(k int) turnWindow {
	var best turnWindow
	f := &s.fences[k]
	for i := range s.fences {
		o := &s.fences[i]
		ax, ay := o.qx-f.qx, o.qy-f.qy
		dx, dy := o.px-f.px, o.py-f.py
		if o.slab { // along its normal alone
			along := o.nx*ax + o.ny*ay
			ax, ay = along*o.nx, along*o.ny
		}
		a := ax*ax + ay*ay
		if i == k || a == 0 {
			continue
		}
		inv := 1 / a
		if half := o.room * math.Sqrt(inv); best.half == 0 || half < best.half {
			ax, ay = -ax*inv, -ay*inv
			best = turnWindow{ax*dx + ay*dy, ax, ay, half}
		}
	}
	return best
}

// walk is the end of a hit-and-run walk through F from its base: each step goes to a uniform point of the chord in a uniform direction, which leaves the uniform law as it is.
//
// Source: Smith, Efficient Monte Carlo procedures for generating points uniformly distributed over bounded regions, Operations Research 32 (1984).
func (s *floatSet) walk(source *rand.PCG) (float3, error) {
	at := s.base
	for range walkSteps {
		var along [3]float64
		for k := range s.dim {
			c := math.Sqrt(-2*math.Log(fraction(source))) * math.Cos(2*math.Pi*fraction(source))
			for i := range 3 {
				along[i] += c * s.span[k][i]
			}
		}
		lo, hi := s.interval(at, along)
		if math.IsInf(lo, 0) || math.IsInf(hi, 0) {
			continue
		}
		t := lo + (hi-lo)*fraction(source)
		for i := range 3 {
			at[i] += t * along[i]
		}
	}
	return s.plain(at), nil
}

// rim is the point of F farthest from the rest in the direction at u of a whole turn from +y, the turn at rest; the rest itself where the shift is held.
func (s *floatSet) rim(rest float3, u float64) float3 {
	if s.dim < 2 || (s.dim == 2 && s.turns) {
		return rest
	}
	sin, cos := math.Sincos(2 * math.Pi * u)
	at := s.scaled(rest)
	_, hi := s.interval(at, [3]float64{sin, cos, 0})
	return s.plain([3]float64{at[0] + hi*sin, at[1] + hi*cos, at[2]})
}
