package conic_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align/internal/conic"
)

// line builds the program: least t with |p_i - u - v z_i| ≤ a_i + b_i t in the plane.
func line(p *conic.Problem, z, x, y, a, b []float64) {
	p.Reset(5)
	p.Cost()[4] = 1
	for i := range z {
		c := p.Cone(2)
		f := c.Row(0)
		f[4], f[5] = b[i], a[i]
		rx, ry := c.Row(1), c.Row(2)
		rx[0], rx[1], rx[5] = -1, -z[i], x[i]
		ry[2], ry[3], ry[5] = -1, -z[i], y[i]
	}
}

// Three circles on one line: the closed form |Σ w p| / Σ |w| r, w the second difference's weights.
//
// Source: hand calculation: Farkas' lemma for one equality.
func TestSolver_threeCircles(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	var s conic.Solver
	var p conic.Problem
	for range 2000 {
		z := []float64{0, 0.1 + 0.8*rng.Float64(), 1}
		x := []float64{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
		y := []float64{rng.NormFloat64(), rng.NormFloat64(), rng.NormFloat64()}
		r := []float64{0.1 + rng.Float64(), 0.1 + rng.Float64(), 0.1 + rng.Float64()}
		line(&p, z, x, y, []float64{0, 0, 0}, r)
		res, err := s.Solve(&p, 1e-9)
		if err != nil {
			t.Fatal(err)
		}
		w := []float64{z[1] - z[2], z[2] - z[0], z[0] - z[1]}
		var sx, sy, sr float64
		for i := range w {
			sx += w[i] * x[i]
			sy += w[i] * y[i]
			sr += math.Abs(w[i]) * r[i]
		}
		want := math.Hypot(sx, sy) / sr
		if math.Abs(res.Objective-want) > 1e-10*(1+want) {
			t.Fatalf("use %v, want %v (gap %g, %d steps)", res.Objective, want, res.Gap, res.Steps)
		}
		if res.Gap > 1e-9 {
			t.Errorf("gap %g", res.Gap)
		}
		// multipliers: |y_i| r_i shares are |w_i| r_i
		var tot float64
		for i := range w {
			d := s.Dual(i)
			tot += math.Hypot(d[1], d[2]) * r[i]
		}
		for i := range w {
			d := s.Dual(i)
			got, want := math.Hypot(d[1], d[2])*r[i]/tot, math.Abs(w[i])*r[i]/sr
			if math.Abs(got-want) > 1e-6 {
				t.Fatalf("share %d: %v, want %v", i, got, want)
			}
		}
	}
}

// Many circles: the optimum's own optimality conditions, checked from primal and dual alone.
func TestSolver_certificate(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	var s conic.Solver
	var p conic.Problem
	worstSteps := 0
	for trial := range 2000 {
		n := 4 + trial%8
		var z, x, y, a, b []float64
		for range n {
			z = append(z, 2*rng.Float64()-1)
			x = append(x, rng.NormFloat64())
			y = append(y, rng.NormFloat64()*float64(trial%3)/2)
			a = append(a, 0.2*rng.Float64())
			b = append(b, 1)
		}
		line(&p, z, x, y, a, b)
		res, err := s.Solve(&p, 1e-9)
		if err != nil {
			t.Fatal(trial, err)
		}
		worstSteps = max(worstSteps, res.Steps)
		u := res.X
		bound, cover := 0.0, 0.0
		for i := range z {
			dx, dy := x[i]-u[0]-u[1]*z[i], y[i]-u[2]-u[3]*z[i]
			if over := math.Hypot(dx, dy) - a[i] - b[i]*u[4]; over > 1e-10 {
				t.Fatalf("%d: circle %d is missed by %g", trial, i, over)
			}
			d := s.Dual(i)
			bound -= x[i]*d[1] + y[i]*d[2] + a[i]*d[0]
			cover += d[0] * b[i]
		}
		if math.Abs(cover-1) > 1e-8 || math.Abs(bound-u[4]) > 1e-8*(1+math.Abs(u[4])) {
			t.Fatalf("%d: dual bound %v (cover %v), primal %v, gap %g", trial, bound, cover, u[4], res.Gap)
		}
	}
	t.Logf("at most %d steps", worstSteps)
}

func TestSolver_equalities(t *testing.T) {
	var s conic.Solver
	var p conic.Problem
	// nearest point of x + y = 2 to the origin: (1, 1), as a cone and as a quadratic
	p.Reset(3)
	p.Cost()[2] = 1
	e := p.Equal()
	e[0], e[1], e[3] = 1, 1, 2
	c := p.Cone(2)
	c.Row(0)[2] = 1
	c.Row(1)[0], c.Row(2)[1] = 1, 1
	res, err := s.Solve(&p, 1e-9)
	if err != nil || math.Abs(res.Objective-math.Sqrt2) > 1e-11 {
		t.Fatal(res, err)
	}
	p.Reset(2)
	q := p.Quadratic()
	q[0], q[3] = 1, 1
	e = p.Equal()
	e[0], e[1], e[2] = 1, 1, 2
	res, err = s.Solve(&p, 1e-9)
	if err != nil || math.Abs(res.X[0]-1) > 1e-12 || math.Abs(res.X[1]-1) > 1e-12 || math.Abs(res.Objective-1) > 1e-12 {
		t.Fatal(res, err)
	}
	e = p.Equal()
	e[0], e[1], e[2] = 2, 2, 5
	if _, err = s.Solve(&p, 1e-9); !errors.Is(err, conic.ErrNoPoint) {
		t.Fatal(err)
	}
}

func TestSolver_allocs(t *testing.T) {
	var s conic.Solver
	var p conic.Problem
	z, x, y, a, b := []float64{0, .2, .5, 1}, []float64{0, .1, .4, .2}, []float64{.3, .2, .1, 0}, []float64{.1, .1, .1, .1}, []float64{1, 1, 1, 1}
	f := func() {
		line(&p, z, x, y, a, b)
		if _, err := s.Solve(&p, 1e-9); err != nil {
			t.Fatal(err)
		}
	}
	f()
	if n := testing.AllocsPerRun(100, f); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func BenchmarkSolver_fiveCircles(b *testing.B) {
	var s conic.Solver
	var p conic.Problem
	z, x, y := []float64{-1, 0.95, -0.3, 0.1, 0.5}, []float64{0.01, -.004, .02, .003, -.01}, []float64{.003, .012, -.006, 0, .01}
	a, r := []float64{.03, .03, .03, .03, .03}, []float64{1, 1, 1, 1, 1}
	b.ReportAllocs()
	steps := 0
	for b.Loop() {
		line(&p, z, x, y, a, r)
		res, err := s.Solve(&p, 1e-9)
		if err != nil {
			b.Fatal(err)
		}
		steps = res.Steps
	}
	b.ReportMetric(float64(steps), "steps")
}
