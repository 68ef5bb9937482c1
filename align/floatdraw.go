package align

import "math"

// A float is drawn from one number in (0, 1): it seeds the few numbers that rejection needs, so that a sample is the same wherever it is drawn.

const (
	tries     = 2000 // of rejection before walking instead
	walkSteps = 60   // of a hit-and-run walk, which forgets its start within a dozen
)

// words are the random words that one number starts: SplitMix64.
//
// Source: Steele, Lea and Flood, Fast splittable pseudorandom number generators, OOPSLA 2014, figure 16.
type words uint64

func (w *words) next() uint64 {
	*w += 0x9e3779b97f4a7c15
	z := uint64(*w)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// fraction is a number in (0, 1).
func (w *words) fraction() float64 { return (float64(int64(w.next()>>12)) + 0.5) * 0x1p-52 }

// inDisc is a point of the unit disc.
func (w *words) inDisc() (x, y float64) {
	for {
		z := w.next()
		x, y = (float64(int32(z>>32))+0.5)*0x1p-31, (float64(int32(z))+0.5)*0x1p-31
		if x*x+y*y <= 1 {
			return x, y
		}
	}
}

// uniform is a point of F drawn uniformly in (fx, fy, lever·γ).
//
// With r = p + f + γq at one full fence, (r, γ) has the same measure as (f, γ): r is drawn in that fence's disc, γ in the window that another fence leaves at most, which moves with r, and the pair is kept if it is within them all.
func (s *floatSet) uniform(u float64) (float3, error) {
	if s.dim == 0 {
		return s.nearest()
	}
	source := words(math.Float64bits(u))
	if s.dim == 1 {
		lo, hi := s.interval(s.base, s.span[0])
		return s.atSpan([]float64{lo + (hi-lo)*source.fraction(), 0, 0}), nil
	}
	if len(s.open) == len(s.fences) && (s.dim == 3 || !s.turns) {
		var at sight
		if s.sight(&at) {
			if v, ok := s.draw(&at, u); ok {
				return v, nil
			}
		}
	}
	return s.walk(&source)
}

// sight is what points of F are drawn from when every fence is open: (x, y) from the disc of one fence, γ within half of middle + x·x + y·y, the window that another leaves.
type sight struct {
	disc               int // fence
	middle, x, y, half float64
}

// sight chooses the tightest disc and the narrowest window: with d + (x, y) + γa at another fence, γ is never farther than its room/|a| from where that comes nearest to the middle. It reports false when there is none.
func (s *floatSet) sight(at *sight) bool {
	at.disc = -1
	for i := range s.fences {
		if f := &s.fences[i]; !f.slab && (at.disc < 0 || f.room < s.fences[at.disc].room) {
			at.disc = i
		}
	}
	if at.disc < 0 || !s.turns {
		return at.disc >= 0
	}
	f := &s.fences[at.disc]
	least := math.Inf(1)
	for i := range s.fences {
		if i == at.disc {
			continue
		}
		o := &s.fences[i]
		ax, ay := o.qx-f.qx, o.qy-f.qy
		if o.slab { // along its normal alone
			along := o.nx*ax + o.ny*ay
			ax, ay = along*o.nx, along*o.ny
		}
		inv := 1 / (ax*ax + ay*ay)
		if half := o.room * o.room * inv; half < least {
			least = half
			at.x, at.y = -ax*inv, -ay*inv
			at.middle = at.x*(o.px-f.px) + at.y*(o.py-f.py)
		}
	}
	at.half = math.Sqrt(least)
	return !math.IsInf(least, 1)
}

// draw draws a point of F by rejection; false when too few points are kept.
func (s *floatSet) draw(at *sight, u float64) (float3, bool) {
	f := &s.fences[at.disc]
	source := words(math.Float64bits(u))
	for range tries {
		x, y := source.inDisc()
		x, y = f.room*x, f.room*y
		g := s.target.g
		if s.turns {
			g = at.middle + at.x*x + at.y*y + at.half*(2*source.fraction()-1)
		}
		v := float3{x - f.px - g*f.qx, y - f.py - g*f.qy, g}
		if s.roomy(v, 0, at.disc) {
			return v, true
		}
	}
	return float3{}, false
}

// walk is the end of a hit-and-run walk through F from its base: each step goes to a uniform point of the chord in a uniform direction, which leaves the uniform law as it is.
//
// Source: Smith, Efficient Monte Carlo procedures for generating points uniformly distributed over bounded regions, Operations Research 32 (1984).
func (s *floatSet) walk(source *words) (float3, error) {
	at := s.base
	for range walkSteps {
		var along [3]float64
		for k := range s.dim {
			c := math.Sqrt(-2*math.Log(source.fraction())) * math.Cos(2*math.Pi*source.fraction())
			for i := range 3 {
				along[i] += c * s.span[k][i]
			}
		}
		lo, hi := s.interval(at, along)
		if math.IsInf(lo, 0) || math.IsInf(hi, 0) {
			continue
		}
		t := lo + (hi-lo)*source.fraction()
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
