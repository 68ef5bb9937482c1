package contact_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align/internal/contact"
)

// random makes a problem with circles of every kind: rigid, yielding, without room.
func random(r *rand.Rand, p *contact.Problem) {
	u := 1 + r.IntN(6)
	c := u + r.IntN(5)
	p.Reset(u, c)
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
			p.A[i*u+j] = s * scale
		}
		p.A[i*u+i] += 0.01 * scale
	}
	for i := range p.B {
		p.B[i] = r.NormFloat64()
	}
	for d := range 2 {
		for i := range p.C[d] {
			p.C[d][i] = r.NormFloat64()
		}
		for i := range p.F0[d] {
			if r.IntN(3) == 0 {
				p.F0[d][i] = r.NormFloat64() / scale
			}
		}
	}
	for i := range p.Room {
		if r.IntN(4) > 0 {
			p.Room[i] = r.ExpFloat64()
		}
		if r.IntN(3) == 0 {
			p.Give[i] = scale * r.ExpFloat64()
		}
	}
}

// The conditions of an optimum, worked out here from the statement: the problem is strictly convex, so they hold at one place only.
func TestProblem_Solve_meetsTheConditions(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var p contact.Problem
	worst, loose := 0.0, 0
	for n := range 5000 {
		random(r, &p)
		if err := p.Solve(); err != nil {
			t.Fatalf("problem %d: %v", n, err)
		}
		var greatest, most, loads float64
		for d := range 2 {
			for i := range p.Circles {
				most = math.Max(most, math.Abs(p.F[d][i]))
				loads = math.Max(loads, math.Abs(p.F0[d][i]))
			}
		}
		off := 0.0
		for i := range p.Circles {
			size := math.Hypot(p.F[0][i], p.F[1][i])
			gap := math.Hypot(p.Gap[0][i], p.Gap[1][i])
			if gap > p.Room[i]*(1+1e-10) {
				t.Fatalf("problem %d: circle %d left by %v", n, i, gap-p.Room[i])
			}
			if size > 1e-7*(most+loads+1/math.Abs(p.A[0])) && p.Room[i] > 0 { // bears: on the rim, along the force
				for d := range 2 {
					if math.Abs(p.Gap[d][i]-p.Room[i]*p.F[d][i]/size) > 1e-9*p.Room[i] {
						t.Fatalf("problem %d: circle %d bears off its rim", n, i)
					}
				}
			}
		}
		for d := range 2 {
			for j := range p.Unknowns {
				sum := p.C[d][j]
				greatest = math.Max(greatest, math.Abs(sum))
				for k := range p.Unknowns {
					v := p.A[j*p.Unknowns+k] * p.M[d][k]
					sum += v
					greatest = math.Max(greatest, math.Abs(v))
				}
				for i := range p.Circles {
					sum += p.B[i*p.Unknowns+j] * (p.Gap[d][i] + p.Give[i]*p.F[d][i])
				}
				off = math.Max(off, math.Abs(sum))
			}
		}
		worst = math.Max(worst, off/greatest)
		if off/greatest > 1e-10 {
			loose++
		}
		for d := range 2 {
			for i := range p.Circles {
				f := p.F0[d][i]
				for j := range p.Unknowns {
					f += p.B[i*p.Unknowns+j] * p.M[d][j]
				}
				if math.Abs(f-p.F[d][i]) > 1e-10*(most+loads+1/math.Abs(p.A[0])) {
					t.Fatalf("problem %d: force %d is not that of the unknowns: %v, %v", n, i, f, p.F[d][i])
				}
			}
		}
	}
	// A circle that bears with a hundred-millionth of the rest cannot be told from an open one: there the smoothed answer stands.
	if worst > 1e-9 || loose > 5 {
		t.Errorf("worst residual %v; %d above 1e-10", worst, loose)
	}
}

func TestProblem_Solve_allocs(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	var p contact.Problem
	random(r, &p)
	if err := p.Solve(); err != nil {
		t.Fatal(err)
	}
	if n := testing.AllocsPerRun(100, func() { _ = p.Solve() }); n > 0 {
		t.Errorf("%v allocations", n)
	}
}

// Forces that equilibrium alone settles, some of them or all: every circle with a force bears, however little of the whole it carries.
func TestProblem_Solve_settledForces(t *testing.T) {
	for _, small := range []float64{1, 0.3, 1e-2, 1e-5, 1e-9, 1e-12} {
		for _, unknowns := range []int{0, 1} {
			var p contact.Problem
			p.Reset(unknowns, 3)
			if unknowns > 0 {
				p.A[0], p.B[0] = 1, 1 // of the first circle only
				p.C[0][0] = -5
			}
			p.F0[0][1], p.F0[1][2] = 1, -small
			copy(p.Room, []float64{0.5, 0.25, 0.125})
			if err := p.Solve(); err != nil {
				t.Fatal(err)
			}
			// Source: hand calculation: the gaps are the rooms, along the forces.
			if p.Gap[0][1] != 0.25 || p.Gap[1][2] != -0.125 || p.Gap[0][2] != 0 || !(p.Residual <= 1e-11) {
				t.Errorf("%d unknowns, %v of the force: gaps %v, residual %v", unknowns, small, p.Gap, p.Residual)
			}
			// ½m² - 5m + ½|m| is least at 4.5.
			if unknowns > 0 && math.Abs(p.M[0][0]-4.5) > 1e-11 {
				t.Errorf("%v, want 4.5", p.M[0][0])
			}
		}
	}
}
