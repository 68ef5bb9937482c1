package align

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/tolerance"
)

// bed is one part with bores, and shafts through them: every circle where the test puts it.
func bed(rng *rand.Rand, shafts int) Stack {
	s := Stack{Parts: []Part{{Name: "bed"}}}
	for k := range shafts {
		sh := Shaft{Name: fmt.Sprintf("s%d", k)}
		n := 1 + rng.IntN(4)
		if shafts == 1 {
			n += 2
		}
		for i := range n {
			b := Bore{Name: fmt.Sprintf("b%d-%d", k, i), Slope: Slope{1e-3 * rng.NormFloat64(), 1e-3 * rng.NormFloat64()}}
			b.Centre = Vec3{
				tolerance.Length(0.05 * rng.NormFloat64()), tolerance.Length(0.05 * rng.NormFloat64()),
				tolerance.Length(300*k + 100*i + rng.IntN(80)),
			}
			s.Parts[0].Bores = append(s.Parts[0].Bores, b)
			sup := Support{Bore: "bed/" + b.Name, Clearance: tolerance.Diametral(0.02 + 0.1*rng.Float64())}
			if rng.IntN(3) == 0 {
				sup.Kind, sup.Width = Bush, 30
			}
			sh.Supports = append(sh.Supports, sup)
		}
		s.Shafts = append(s.Shafts, sh)
		if k > 0 {
			p := Pocket{Name: fmt.Sprintf("p%d", k), Between: [2]string{s.Shafts[k-1].Name, sh.Name}, Z: tolerance.Length(300*k - 10), Clearance: 0.03}
			if rng.IntN(2) == 0 {
				p.Width = tolerance.Given(tolerance.Length(20))
			}
			s.Pockets = append(s.Pockets, p)
		}
	}
	return s
}

// The multipliers prove use and margin: they balance on every line, weigh the rooms to at most 1, and reach the value from below; so whatever the method, nothing smaller is possible.
//
// Source: weak duality of the program in the package comment; hand calculation.
func TestKernel_multipliersCertify(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for trial := range 1200 {
		s := bed(rng, 1+trial%3)
		if err := s.Validate(); err != nil {
			continue // a shaft with too few supports
		}
		k := newKernel(s, newLayout(&s))
		if err := k.solve(); err != nil {
			t.Fatal(err)
		}
		for _, g := range k.lay.groups {
			for _, by := range []measure{byUse, byMargin} {
				v, err := k.solveGroup(g, by)
				if err != nil {
					t.Fatal(trial, by, err)
				}
				k.certify(t, trial, g, by, v)
			}
		}
		use, _ := k.use()
		margin, _ := k.margin()
		if (use <= 1) != (margin >= 0) && math.Abs(use-1) > 1e-9 {
			t.Fatalf("trial %d: use %v and margin %v disagree", trial, use, margin)
		}
	}
}

func (k *kernel) certify(t *testing.T, trial int, group []int, by measure, v float64) {
	t.Helper()
	floor := -k.leastRoom()
	if by == byMargin && v <= floor+1e-9 {
		return // no room can be more than the least
	}
	balance := make([]float64, 4*len(k.stack.Shafts))
	var reach, rooms, count float64
	for c, i := range k.line.members {
		q := &k.circles[i]
		y := k.line.pull[c]
		size := math.Hypot(y[0], y[1])
		reach += y[0]*q.x + y[1]*q.y
		rooms += size * q.room
		count += size
		for a := range 2 {
			balance[4*q.shaft+2*a] += y[a]
			balance[4*q.shaft+2*a+1] += y[a] * q.z
			if q.other >= 0 {
				balance[4*q.other+2*a] -= y[a]
				balance[4*q.other+2*a+1] -= y[a] * q.z
			}
		}
	}
	for i, b := range balance {
		if math.Abs(b) > 1e-5*(1+count)*(1+999*float64(i%2)) {
			t.Fatalf("trial %d: multipliers do not balance: %v", trial, balance)
		}
	}
	bound, weight := reach, rooms
	if by == byMargin {
		bound, weight = reach-rooms, count
	}
	if weight > 1+1e-7 || math.Abs(bound-v) > 2e-8*(1+math.Abs(v)) {
		t.Fatalf("trial %d %v: value %v, bound %v, weight %v (closed %v)", trial, by, v, bound, weight, k.line.closed)
	}
}
