package align

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/borestack/tolerance"
)

// capped is one part with bores at these centres (x, y, z) and one shaft through them with these clearances.
func capped(clearances []float64, centres ...[3]float64) Stack {
	s := Stack{Parts: []Part{{Name: "bed"}}, Shafts: []Shaft{{Name: "main"}}}
	for i, c := range centres {
		name := string(rune('a' + i))
		s.Parts[0].Bores = append(s.Parts[0].Bores, Bore{Name: name, Centre: Vec3{tolerance.Length(c[0]), tolerance.Length(c[1]), tolerance.Length(c[2])}})
		s.Shafts[0].Supports = append(s.Shafts[0].Supports, Support{Bore: "bed/" + name, Clearance: tolerance.Diametral(clearances[i])})
	}
	return s
}

// What caps the margin proves it: weights that add up to 1 and are no less than the pulls, pulls that no line can feel, and a bound that equals the margin.
//
// Source: weak duality, worked out here from the statement of the margin: r - |p - ℓ| ≤ r - (y/w)·(p - ℓ).
func TestKernel_capsCertify(t *testing.T) {
	rng := rand.New(rand.NewPCG(15, 6))
	tight, bent := 0, 0
	for trial := range 900 {
		s := bed(rng, 1+trial%3)
		for i := range s.Shafts { // a third of the boxes with room to spare but for one bearing, a third with a bearing that has none
			switch n := rng.IntN(len(s.Shafts[i].Supports)); trial / 3 % 3 {
			case 1:
				s.Shafts[i].Supports[n].Clearance /= 50
			case 2:
				s.Shafts[i].Supports[n].Clearance = 0
			}
		}
		if trial/3%3 == 1 {
			for i := range s.Parts[0].Bores {
				b := &s.Parts[0].Bores[i]
				b.Centre.X, b.Centre.Y, b.Slope.X, b.Slope.Y = b.Centre.X/20, b.Centre.Y/20, b.Slope.X/20, b.Slope.Y/20
			}
		}
		if err := s.Validate(); err != nil {
			continue // a shaft with too few supports
		}
		k := newKernel(s, newLayout(&s))
		if err := k.solve(); err != nil {
			t.Fatal(err)
		}
		for _, g := range k.lay.groups {
			v, err := k.solveGroup(g, byMargin)
			if err != nil {
				t.Fatal(trial, err)
			}
			w := k.caps(v)
			if -v >= k.leastRoom()-1e-9 {
				tight++
			} else {
				bent++
			}
			checkCaps(t, k, w, -v, fmt.Sprintf("trial %d", trial))
		}
	}
	if tight < 100 || bent < 100 {
		t.Errorf("%d capped by a tight bearing, %d by misalignment: want many of both", tight, bent)
	}
}

func checkCaps(t *testing.T, k *kernel, w []float64, margin float64, what string) {
	t.Helper()
	balance := make([]float64, 4*len(k.stack.Shafts))
	var sum, bound float64
	for c, i := range k.line.members {
		q, y := &k.circles[i], k.line.pull[c]
		if size := math.Hypot(y[0], y[1]); !(w[c] >= size-1e-7) {
			t.Errorf("%s: circle %d weighs %v and pulls with %v", what, c, w[c], size)
		}
		sum += w[c]
		bound += w[c]*q.room - y[0]*q.x - y[1]*q.y
		for a := range 2 {
			balance[4*q.shaft+2*a] += y[a]
			balance[4*q.shaft+2*a+1] += y[a] * q.z / 1000
			if q.other >= 0 {
				balance[4*q.other+2*a] -= y[a]
				balance[4*q.other+2*a+1] -= y[a] * q.z / 1000
			}
		}
	}
	for _, b := range balance {
		if math.Abs(b) > 1e-6 {
			t.Errorf("%s: the pulls do not balance: %v", what, balance)
			break
		}
	}
	if math.Abs(sum-1) > 1e-12 || math.Abs(bound-margin) > 2e-8 {
		t.Errorf("%s: weights add up to %v; margin %v, bound %v", what, sum, margin, bound)
	}
}

func TestShaftLine_marginGoverns(t *testing.T) {
	bush := capped([]float64{0.02, 0.06}, [3]float64{0, 0, 0}, [3]float64{0, 0, 200})
	bush.Shafts[0].Supports[0].Kind, bush.Shafts[0].Supports[0].Width = Bush, 20
	bush.Parts[0].Bores[0].Slope.X = 1e-5 // its mouths stand 0.0002 apart, of a room of 0.01
	pocket := capped([]float64{0.05, 0.05}, [3]float64{0, 0, 0}, [3]float64{0, 0, 100})
	pocket.Parts[0].Bores = append(pocket.Parts[0].Bores, Bore{Name: "far", Centre: Vec3{Z: 400}})
	pocket.Shafts = append(pocket.Shafts, Shaft{Name: "tail", Supports: []Support{{Bore: "bed/far", Clearance: 0.05}}})
	pocket.Pockets = []Pocket{{Name: "pocket", Between: [2]string{"main", "tail"}, Z: 150, Clearance: 0.01}}
	wide := pocket
	wide.Pockets = []Pocket{pocket.Pockets[0]}
	wide.Pockets[0].Width = tolerance.Given(tolerance.Length(10))
	line := [][3]float64{{0, 0, 0}, {0, 0.03, 100}, {0, 0, 200}}
	for _, c := range []struct {
		name   string
		stack  Stack
		margin float64
		want   []Governor
	}{
		// Source: hand calculations. A line runs through both centres of two supports, so the tighter alone caps the margin, at its radial room.
		{"two supports", capped([]float64{0.06, 0.02}, [3]float64{0.3, 0, 0}, [3]float64{0, 0.4, 250}), 0.01, []Governor{{Name: "bed/b", Share: 1}}},
		{"two supports, equally tight", capped([]float64{0.02, 0.02}, [3]float64{}, [3]float64{0, 0, 250}), 0.01, []Governor{{Name: "bed/a", Share: 0.5}, {Name: "bed/b", Share: 0.5}}},
		// The middle stands 0.03 off: the sum of centres ¼, ½, ¼ is 0.015, the rooms' 0.055.
		{"misaligned, all alike", capped([]float64{0.11, 0.11, 0.11}, line...), 0.04, []Governor{{Name: "bed/b", Share: 0.5}, {Name: "bed/a", Share: 0.25}, {Name: "bed/c", Share: 0.25}}},
		// The same with one tight bearing: whatever the others do, there is 0.01 at most, and 0.03 off takes the others only 0.06 of 0.11.
		{"misaligned, one tight", capped([]float64{0.02, 0.2, 0.2}, line...), 0.01, []Governor{{Name: "bed/a", Share: 1}}},
		{"in line, all alike", capped([]float64{0.02, 0.02, 0.02}, [3]float64{}, [3]float64{0, 0, 100}, [3]float64{0, 0, 300}), 0.01, []Governor{{Name: "bed/a", Share: 1.0 / 3}, {Name: "bed/b", Share: 1.0 / 3}, {Name: "bed/c", Share: 1.0 / 3}}},
		{"in line but for rounding", capped([]float64{0.02, 0.02, 0.02}, [3]float64{}, [3]float64{1e-18, 1e-17, 100}, [3]float64{0, 0, 300}), 0.01, []Governor{{Name: "bed/a", Share: 1.0 / 3}, {Name: "bed/b", Share: 1.0 / 3}, {Name: "bed/c", Share: 1.0 / 3}}},
		{"one without room", capped([]float64{0.2, 0, 0.2}, line...), 0, []Governor{{Name: "bed/b", Share: 1}}},
		// No room anywhere: the lack is ¼ · 2 · 0.03.
		{"none has room", capped([]float64{0, 0, 0}, line...), -0.015, []Governor{{Name: "bed/b", Share: 0.5}, {Name: "bed/a", Share: 0.25}, {Name: "bed/c", Share: 0.25}}},
		{"a bush, both its mouths", bush, 0.01, []Governor{{Name: "bed/a", Share: 1}}},
		{"a tight pocket", pocket, 0.005, []Governor{{Name: "pocket", Share: 1}}},
		{"a wide pocket, both its mouths", wide, 0.005, []Governor{{Name: "pocket", Share: 1}}},
	} {
		a, err := c.stack.Solve()
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		got := a.Line.MarginGoverns
		if math.Abs(float64(a.Line.Margin)-c.margin) > 1e-9 || len(got) != len(c.want) {
			t.Errorf("%s: margin %v, want %v; %v, want %v", c.name, a.Line.Margin, c.margin, got, c.want)
			continue
		}
		for i, w := range c.want {
			if got[i].Name != w.Name || math.Abs(got[i].Share-w.Share) > 1e-9 {
				t.Errorf("%s: %v, want %v", c.name, got, c.want)
			}
		}
	}
}

// Which shafts a line always goes through. Source: hand count of circles: a line has two freedoms in each plane.
func TestSolve_noteTwoSupports(t *testing.T) {
	two := capped([]float64{0.1, 0.1}, [3]float64{1, 2, 0}, [3]float64{-3, 0, 100})
	three := capped([]float64{0.1, 0.1, 0.1}, [3]float64{}, [3]float64{0, 0, 100}, [3]float64{0, 0, 200})
	bush := capped([]float64{0.1, 0.1}, [3]float64{}, [3]float64{0, 0, 100})
	bush.Shafts[0].Supports[1].Kind, bush.Shafts[0].Supports[1].Width = Bush, 20
	coupled := func(main Stack, width float64) Stack {
		main.Parts = []Part{{Name: "bed", Bores: append(slices.Clone(main.Parts[0].Bores), Bore{Name: "far", Centre: Vec3{X: 5, Z: 400}})}}
		main.Shafts = append(slices.Clone(main.Shafts), Shaft{Name: "tail", Supports: []Support{{Bore: "bed/far", Clearance: 0.05}}})
		p := Pocket{Name: "pocket", Between: [2]string{"main", "tail"}, Z: 250, Clearance: 0.01}
		if width > 0 {
			p.Width = tolerance.Given(tolerance.Length(width))
		}
		main.Pockets = []Pocket{p}
		return main
	}
	for _, c := range []struct {
		name  string
		stack Stack
		want  []string
	}{
		{"two bearings", two, []string{"main"}},
		{"three bearings", three, nil},
		{"a bearing and the two mouths of a bush", bush, nil},
		{"a bearing and a pocket, which the other shaft need not heed", coupled(two, 0), []string{"main", "tail"}},
		{"a bearing and a pocket beside three bearings", coupled(three, 0), []string{"tail"}},
		{"a bearing and a wide pocket", coupled(two, 10), nil},
	} {
		a, err := c.stack.Solve()
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var got []string
		for _, n := range a.Assumed {
			if n.Kind == NoteTwoSupports {
				got = append(got, n.Of)
			}
		}
		if fmt.Sprint(got) != fmt.Sprint(c.want) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
