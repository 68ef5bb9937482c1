package form

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// A strip's answer is its own proof: no point outside it, weights that are not negative and add up to 1, and directions that cancel against the walls. Sizes straddle the short list; every third set has ties.
func TestStrip_optimal(t *testing.T) {
	rng := rand.New(rand.NewPCG(31, 32))
	for trial := range 300 {
		n := []int{1, 2, 5, 30, 257, 3000}[trial%6]
		s := strip{m: 1 + trial%4, one: trial%3 == 1, box: []float64{1, 1e-3}[trial%2]}
		for range n {
			for range s.m {
				v := 2*rng.Float64() - 1
				if trial%3 == 0 {
					v = math.Round(4*v) / 4
				}
				s.a = append(s.a, v)
			}
			d := 0.5 + 0.01*rng.NormFloat64()
			if trial%3 == 0 {
				d = math.Round(100*d) / 100
			}
			s.d = append(s.d, d)
		}
		sol, ok := s.solve()
		if !ok {
			t.Errorf("trial %d: not solved", trial)
			continue
		}
		const rounding = 1e-13
		if other, ok := s.exchange(tipped()); !ok || math.Abs(other.value-sol.value) > 10*rounding {
			t.Errorf("trial %d: tipped %.15g, level %.15g", trial, other.value, sol.value)
		}
		for i, d := range s.d {
			v := d
			for k := range s.m {
				v -= s.a[i*s.m+k] * sol.x[k]
			}
			if v > sol.hi+rounding || !s.one && v < sol.lo-rounding {
				t.Errorf("trial %d: point %d at %g outside %g to %g", trial, i, v, sol.lo, sol.hi)
			}
		}
		var highs, lows float64
		pull := make([]float64, s.m)
		for r, c := range sol.basis[:sol.size] {
			w := sol.weight[r]
			if w < -rounding {
				t.Errorf("trial %d: weight %g", trial, w)
			}
			switch c.kind {
			case high:
				highs += w
			case low:
				lows += w
			case wallUp, wallDown:
				if math.Abs(math.Abs(sol.x[c.row])-s.box) > rounding {
					t.Errorf("trial %d: wall at %g", trial, sol.x[c.row])
				}
			}
			g, _ := s.row(c)
			for k := range pull {
				pull[k] += w * g[k]
			}
		}
		if math.Abs(highs-1) > rounding || !s.one && math.Abs(lows-1) > rounding {
			t.Errorf("trial %d: weights add up to %g and %g", trial, highs, lows)
		}
		for _, v := range pull {
			if math.Abs(v) > rounding {
				t.Errorf("trial %d: directions leave %g", trial, v)
			}
		}
	}
}

// Source: hand calculation: contacts at ±1 along each axis pull as the square with corners (±1, 0), (0, ±1) does: its inscribed circle has radius √½.
func TestStrip_growth(t *testing.T) {
	s := strip{m: 2, one: true, box: 1, a: []float64{1, 0, -1, 0, 0, 1, 0, -1}, d: []float64{1, 1, 1, 1}}
	sol := solution{size: 4, basis: [maxUnknowns]active{{high, 0}, {high, 1}, {high, 2}, {high, 3}}, weight: vector{0.25, 0.25, 0.25, 0.25}}
	if g := s.growth(&sol); math.Abs(g-math.Sqrt(0.5)) > 1e-15 {
		t.Error(g)
	}
	// A simplex in four dimensions, against directions tried at random.
	s = strip{m: 4, one: true, box: 1, a: []float64{1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, -1, -1, -1, -1}, d: []float64{1, 1, 1, 1, 1}}
	sol = solution{size: 5, weight: vector{0.2, 0.2, 0.2, 0.2, 0.2}}
	for r := range 5 {
		sol.basis[r] = active{high, r}
	}
	g := s.growth(&sol)
	rng := rand.New(rand.NewPCG(41, 42))
	least := math.Inf(1)
	for range 200_000 {
		var n [4]float64
		var size float64
		for k := range n {
			n[k] = rng.NormFloat64()
			size += n[k] * n[k]
		}
		up := math.Inf(-1)
		for r := range 5 {
			h := 0.0
			for k, v := range n {
				h += v * s.a[4*r+k]
			}
			up = math.Max(up, h/math.Sqrt(size))
		}
		least = math.Min(least, up)
	}
	if g > least || g < 0.9*least {
		t.Errorf("growth %g, sampled %g", g, least)
	}
}

// The bound on what a moved cylinder gains over its linear form, against axes moved at random.
func TestSleeve_remainder(t *testing.T) {
	rng := rand.New(rand.NewPCG(51, 52))
	c := &cloud{scale: 1}
	for range 200 {
		a, z := 2*math.Pi*rng.Float64(), rng.Float64()-0.5
		c.p = append(c.p, r3.Vec{X: 0.6 * math.Cos(a), Y: 0.6 * math.Sin(a), Z: z})
	}
	s := sleeve{c: c, strip: strip{m: 4, a: make([]float64, 800), d: make([]float64, 200)}}
	start := tube{dir: r3.Vec{Z: 1}}
	tightest := 0.0
	for range 300 {
		s.load(start)
		inward, outward := s.remainder()
		x := make([]float64, 4)
		size := 0.0
		for k := range x {
			x[k] = rng.NormFloat64()
			size += x[k] * x[k]
		}
		scale := rng.Float64() * 0.5 / math.Sqrt(size)
		for k := range x {
			x[k] *= scale
		}
		size *= scale * scale
		f := start.move(x).frame()
		for i, p := range c.p {
			line := s.strip.d[i]
			for k, v := range x {
				line -= s.strip.a[4*i+k] * v
			}
			_, _, rho, _ := f.see(p)
			if rho > line+inward*size+1e-14 || rho < line-outward*size-1e-14 {
				t.Fatalf("x %v: distance %g, linear %g, bounds %g and %g", x, rho, line, inward*size, outward*size)
			}
			tightest = math.Max(tightest, (rho-line)/(inward*size))
		}
	}
	if tightest < 0.7 {
		t.Errorf("the bound is loose: %g of it is reached", tightest)
	}
}
