package align

import (
	"fmt"
	"math"
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
		want   []tolerance.Share
	}{
		// Source: hand calculations. A line runs through both centres of two supports, so the tighter alone caps the margin, at its radial room.
		{"two supports", capped([]float64{0.06, 0.02}, [3]float64{0.3, 0, 0}, [3]float64{0, 0.4, 250}), 0.01, []tolerance.Share{{Name: "bed/b", Share: 1}}},
		{"two supports, equally tight", capped([]float64{0.02, 0.02}, [3]float64{}, [3]float64{0, 0, 250}), 0.01, []tolerance.Share{{Name: "bed/a", Share: 0.5}, {Name: "bed/b", Share: 0.5}}},
		// The middle stands 0.03 off: the sum of centres ¼, ½, ¼ is 0.015, the rooms' 0.055.
		{"misaligned, all alike", capped([]float64{0.11, 0.11, 0.11}, line...), 0.04, []tolerance.Share{{Name: "bed/b", Share: 0.5}, {Name: "bed/a", Share: 0.25}, {Name: "bed/c", Share: 0.25}}},
		// The same with one tight bearing: whatever the others do, there is 0.01 at most, and 0.03 off takes the others only 0.06 of 0.11.
		{"misaligned, one tight", capped([]float64{0.02, 0.2, 0.2}, line...), 0.01, []tolerance.Share{{Name: "bed/a", Share: 1}}},
		{"in line, all alike", capped([]float64{0.02, 0.02, 0.02}, [3]float64{}, [3]float64{0, 0, 100}, [3]float64{0, 0, 300}), 0.01, []tolerance.Share{{Name: "bed/a", Share: 1.0 / 3}, {Name: "bed/b", Share: 1.0 / 3}, {Name: "bed/c", Share: 1.0 / 3}}},
		{"in line but for rounding", capped([]float64{0.02, 0.02, 0.02}, [3]float64{}, [3]float64{1e-18, 1e-17, 100}, [3]float64{0, 0, 300}), 0.01, []tolerance.Share{{Name: "bed/a", Share: 1.0 / 3}, {Name: "bed/b", Share: 1.0 / 3}, {Name: "bed/c", Share: 1.0 / 3}}},
		{"one without room", capped([]float64{0.2, 0, 0.2}, line...), 0, []tolerance.Share{{Name: "bed/b", Share: 1}}},
		// No room anywhere: the lack is ¼ · 2 · 0.03.
		{"none has room", capped([]float64{0, 0, 0}, line...), -0.015, []tolerance.Share{{Name: "bed/b", Share: 0.5}, {Name: "bed/a", Share: 0.25}, {Name: "bed/c", Share: 0.25}}},
		{"a bush, both its mouths", bush, 0.01, []tolerance.Share{{Name: "bed/a", Share: 1}}},
		{"a tight pocket", pocket, 0.005, []tolerance.Share{{Name: "pocket", Share: 1}}},
		{"a wide pocket, both its mouths", wide, 0.005, []tolerance.Share{{Name: "pocket", Share: 1}}},
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
