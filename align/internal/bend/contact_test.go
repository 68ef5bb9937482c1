package bend

import (
	"math"
	"math/rand/v2"
	"testing"
)

// random makes a problem with circles of every kind: rigid, yielding, without room.
func random(r *rand.Rand, p *problem) {
	u := 1 + r.IntN(6)
	c := u + r.IntN(5)
	p.reset(u, c)
	root := make([]float64, u*u)
	for i := range root {
		root[i] = r.NormFloat64()
	}
	scale := math.Pow(10, 3*r.NormFloat64())
	for i := range u {
		for j := range u {
			var s float64
			for k := range u {
				s += root[i*u+k] * root[j*u+k]
			}
			p.a[i*u+j] = s * scale
		}
		p.a[i*u+i] += 0.01 * scale
	}
	for i := range p.b {
		p.b[i] = r.NormFloat64()
	}
	for d := range 2 {
		for i := range p.c[d] {
			p.c[d][i] = r.NormFloat64()
		}
		for i := range p.f0[d] {
			if r.IntN(3) == 0 {
				p.f0[d][i] = r.NormFloat64() / scale
			}
		}
	}
	for i := range p.room {
		if r.IntN(4) > 0 {
			p.room[i] = r.ExpFloat64()
		}
		if r.IntN(3) == 0 {
			p.give[i] = scale * r.ExpFloat64()
		}
	}
}

// The conditions of an optimum, worked out here from the statement: the problem is strictly convex,
// so they hold at one place only.
func TestProblem_Solve_meetsTheConditions(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var p problem
	worst, loose := 0.0, 0
	for n := range 5000 {
		random(r, &p)
		if err := p.solve(); err != nil {
			t.Fatalf("problem %d: %v", n, err)
		}
		var greatest, most, loads float64
		for d := range 2 {
			for i := range p.circles {
				most = math.Max(most, math.Abs(p.f[d][i]))
				loads = math.Max(loads, math.Abs(p.f0[d][i]))
			}
		}
		off := 0.0
		for i := range p.circles {
			size := math.Hypot(p.f[0][i], p.f[1][i])
			gap := math.Hypot(p.gap[0][i], p.gap[1][i])
			if gap > p.room[i]*(1+1e-10) {
				t.Fatalf("problem %d: circle %d left by %v", n, i, gap-p.room[i])
			}
			if size > 1e-7*(most+loads+1/math.Abs(p.a[0])) && p.room[i] > 0 { // bears: on the rim, along the force
				for d := range 2 {
					if math.Abs(p.gap[d][i]-p.room[i]*p.f[d][i]/size) > 1e-9*p.room[i] {
						t.Fatalf("problem %d: circle %d bears off its rim", n, i)
					}
				}
			}
		}
		for d := range 2 {
			for j := range p.unknowns {
				sum := p.c[d][j]
				greatest = math.Max(greatest, math.Abs(sum))
				for k := range p.unknowns {
					v := p.a[j*p.unknowns+k] * p.m[d][k]
					sum += v
					greatest = math.Max(greatest, math.Abs(v))
				}
				for i := range p.circles {
					sum += p.b[i*p.unknowns+j] * (p.gap[d][i] + p.give[i]*p.f[d][i])
				}
				off = math.Max(off, math.Abs(sum))
			}
		}
		worst = math.Max(worst, off/greatest)
		if off/greatest > 1e-10 {
			loose++
		}
		for d := range 2 {
			for i := range p.circles {
				f := p.f0[d][i]
				for j := range p.unknowns {
					f += p.b[i*p.unknowns+j] * p.m[d][j]
				}
				if math.Abs(f-p.f[d][i]) > 1e-10*(most+loads+1/math.Abs(p.a[0])) {
					t.Fatalf("problem %d: force %d is not that of the unknowns: %v, %v", n, i, f, p.f[d][i])
				}
			}
		}
	}
	// A circle that bears with a hundred-millionth of the rest cannot be told from an open one:
	// there the smoothed answer stands.
	if worst > 1e-9 || loose > 5 {
		t.Errorf("worst residual %v; %d above 1e-10", worst, loose)
	}
}

func TestProblem_Solve_allocs(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	var p problem
	random(r, &p)
	if err := p.solve(); err != nil {
		t.Fatal(err)
	}
	if n := testing.AllocsPerRun(100, func() { _ = p.solve() }); n > 0 {
		t.Errorf("%v allocations", n)
	}
}

// Forces that equilibrium alone settles, some of them or all: every circle with a force bears,
// however little of the whole it carries.
func TestProblem_Solve_settledForces(t *testing.T) {
	for _, small := range []float64{1, 0.3, 1e-2, 1e-5, 1e-9, 1e-12} {
		for _, unknowns := range []int{0, 1} {
			var p problem
			p.reset(unknowns, 3)
			if unknowns > 0 {
				p.a[0], p.b[0] = 1, 1 // of the first circle only
				p.c[0][0] = -5
			}
			p.f0[0][1], p.f0[1][2] = 1, -small
			copy(p.room, []float64{0.5, 0.25, 0.125})
			if err := p.solve(); err != nil {
				t.Fatal(err)
			}
			// Source: hand calculation: the gaps are the rooms, along the forces.
			if p.gap[0][1] != 0.25 || p.gap[1][2] != -0.125 || p.gap[0][2] != 0 || !(p.residual <= 1e-11) {
				t.Errorf("%d unknowns, %v of the force: gaps %v, residual %v", unknowns, small, p.gap, p.residual)
			}
			// ½m² - 5m + ½|m| is least at 4.5.
			if unknowns > 0 && math.Abs(p.m[0][0]-4.5) > 1e-11 {
				t.Errorf("%v, want 4.5", p.m[0][0])
			}
		}
	}
}
