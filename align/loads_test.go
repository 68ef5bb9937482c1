package align_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/internal/check"

	"gonum.org/v1/gonum/mat"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// bed is one part with bores at the given centres and one shaft of 30 mm through them all, of steel with 207 GPa.
func bed(centres ...align.Vec3) align.Stack {
	s := align.Stack{Parts: []align.Part{{Name: "bed"}}, Shafts: []align.Shaft{{
		Name:     "main",
		Material: tolerance.Given(tolerance.Material{Modulus: tolerance.Given(207000.0)}),
	}}}
	lo, hi := centres[0].Z, centres[0].Z
	for i, c := range centres {
		name := string(rune('a' + i))
		s.Parts[0].Bores = append(s.Parts[0].Bores, align.Bore{Name: name, Centre: c})
		s.Shafts[0].Supports = append(s.Shafts[0].Supports, align.Support{Bore: "bed/" + name})
		lo, hi = min(lo, c.Z), max(hi, c.Z)
	}
	s.Shafts[0].Sections = []align.Section{{From: lo, To: hi, Diameter: 30}}
	return s
}

func at(x, y, z float64) align.Vec3 {
	return align.Vec3{X: tolerance.Length(x), Y: tolerance.Length(y), Z: tolerance.Length(z)}
}

func bend(t *testing.T, s align.Stack) *align.Assembly {
	t.Helper()
	a, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	if a.Loads != nil && a.Loads.Residual > 1e-10 {
		t.Errorf("residual %v", a.Loads.Residual)
	}
	return a
}

// Source for all: elementary beam formulas, e.g. Young and Budynas, Roark's Formulas for Stress and Strain, table 8.1, worked out for a solid shaft of 30 mm and E = 207 GPa to 12 digits.
func TestLoads_beamFormulas(t *testing.T) {
	load := func(s align.Stack, z, fy float64) align.Stack {
		s.Shafts[0].Loads = []align.Load{{Name: "pull", Z: tolerance.Length(z), Force: align.Force{Y: fy}}}
		return s
	}
	t.Run("load in the middle", func(t *testing.T) {
		l := bend(t, load(bed(at(0, 0, 0), at(0, 0, 300)), 150, -1000)).Loads
		check.Relative(t, "bend", float64(l.Shafts[0].Bend), 6.83435075005e-2, 1e-11)
		check.Relative(t, "slope", l.At[0].Slope.Y, -6.83435075005e-4, 1e-11)
		check.Relative(t, "force", l.At[1].Force.Y, 500, 1e-13)
		check.Relative(t, "stress", l.Shafts[0].Stress, 1000*300.0/4/(math.Pi/32*27000), 1e-12)
	})
	t.Run("load at a third", func(t *testing.T) {
		l := bend(t, load(bed(at(0, 0, 0), at(0, 0, 300)), 100, -1000)).Loads
		check.Relative(t, "under the load", float64(l.Shafts[0].Bend), 5.39998083955e-2, 1e-11)
		check.Relative(t, "front slope", l.At[0].Slope.Y, -6.74997604944e-4, 1e-11)
		check.Relative(t, "rear slope", l.At[1].Slope.Y, 5.39998083955e-4, 1e-11)
	})
	t.Run("own weight", func(t *testing.T) {
		s := bed(at(0, 0, 0), at(0, 0, 300))
		s.Shafts[0].Density = tolerance.Given(7850.0)
		q := 7850e-9 * 9.80665 * math.Pi / 4 * 900 // N/mm; the table's is 2
		l := bend(t, s).Loads
		check.Relative(t, "end slope", l.At[0].Slope.Y, -2.73374030002e-4*q/2, 1e-11)
		check.Relative(t, "force", l.At[0].Force.Y, 150*q, 1e-12)
	})
	t.Run("overhang", func(t *testing.T) {
		s := load(bed(at(0, 0, 0), at(0, 0, 300)), 380, -1000)
		s.Shafts[0].Sections[0].To = 380
		l := bend(t, s).Loads
		check.Relative(t, "tip", float64(l.Shafts[0].Bend), 9.84956505134e-2, 1e-11)
		check.Relative(t, "front force", l.At[0].Force.Y, -1000*80.0/300, 1e-12)
	})
	t.Run("middle support raised", func(t *testing.T) {
		l := bend(t, bed(at(0, 0, 0), at(0, 0.02, 150), at(0, 0, 300))).Loads
		check.Relative(t, "middle", l.At[1].Force.Y, 292.639355682, 1e-11)
		if c := l.At[1].Force; math.Abs(c.X) > 1e-12 {
			t.Errorf("sideways %v", c.X)
		}
	})
	t.Run("end couple from a helical gear", func(t *testing.T) {
		// Ft = 2·50/0.1 = 1000 N, helix 45° right: the axial force of 1000 N at 50 mm is a couple of 50 N·m, and the radial one is none without pressure angle.
		s := bed(at(0, 0, 0), at(0, 0, 300))
		s.Shafts[0].Loads = []align.Load{{Name: "gear", Z: 0, Gear: &align.GearForce{
			Torque: 50, PitchDiameter: 100, PressureAngle: tolerance.Given(1e-12 * tolerance.Degree), Helix: 45 * tolerance.Degree, Mate: 0,
		}}}
		l := bend(t, s).Loads
		check.Relative(t, "near slope", math.Abs(l.At[0].Slope.Y), 6.07497844449e-4, 1e-9)
		check.Relative(t, "far slope", math.Abs(l.At[1].Slope.Y), 3.03748922225e-4, 1e-9)
		// The mate above pushes the tooth clockwise, to the right; the front bearing holds it to the left.
		check.Relative(t, "against the tooth", l.At[0].Force.X, -1000, 1e-9)
		// The axial force acts rearward at 12 o'clock and turns the shaft's rear end down: the rear bearing pushes up.
		check.Relative(t, "against the couple", l.At[1].Force.Y, 50000.0/300, 1e-9)
	})
}

func TestLoads_clearanceAtTheMiddle(t *testing.T) {
	// Source: hand calculation, 48 E I (δ − r)/L³: the middle support is δ high, and the clearances take up (c/2)·2 of it in all.
	const delta, clearance = 0.3, 0.1
	s := bed(at(0, 0, 100), at(0, delta, 400), at(0, 0, 700))
	for i := range s.Shafts[0].Supports {
		s.Shafts[0].Supports[i].Clearance = clearance
	}
	l := bend(t, s).Loads
	ei := 207000 * math.Pi / 64 * 30 * 30 * 30 * 30
	check.Relative(t, "middle", l.At[1].Force.Y, 48*ei*(delta-clearance)/(600*600*600), 1e-12)
	// Loads vanish as the room comes: at λ = 1 nothing presses.
	for i := range s.Shafts[0].Supports {
		s.Shafts[0].Supports[i].Clearance = delta * (1 + 1e-9)
	}
	a, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	if f := a.Loads.At[1].Force; math.Hypot(f.X, f.Y) > 1e-6*l.At[1].Force.Y {
		t.Errorf("straight shafts have room, and %v presses", f)
	}
}

// stiffness solves the same shaft with rigid clearance-free supports by beam elements: a second method. Positions and diameters must be at nodes.
func stiffness(z []float64, ei func(i int) float64, held map[int][2]float64) map[int][2]float64 {
	n := 2 * len(z)
	out := map[int][2]float64{}
	for d := range 2 {
		k := mat.NewDense(n, n, nil)
		for i := 1; i < len(z); i++ {
			h := z[i] - z[i-1]
			c := ei(i-1) / (h * h * h)
			e := [4][4]float64{{12, 6 * h, -12, 6 * h}, {6 * h, 4 * h * h, -6 * h, 2 * h * h}, {-12, -6 * h, 12, -6 * h}, {6 * h, 2 * h * h, -6 * h, 4 * h * h}}
			for a := range 4 {
				for b := range 4 {
					k.Set(2*(i-1)+a, 2*(i-1)+b, k.At(2*(i-1)+a, 2*(i-1)+b)+c*e[a][b])
				}
			}
		}
		full := mat.DenseCopyOf(k)
		rhs := mat.NewVecDense(n, nil)
		for i, p := range held {
			for j := range n {
				rhs.SetVec(j, rhs.AtVec(j)-k.At(j, 2*i)*p[d])
			}
		}
		for i, p := range held {
			for j := range n {
				k.Set(2*i, j, 0)
				k.Set(j, 2*i, 0)
			}
			k.Set(2*i, 2*i, 1)
			rhs.SetVec(2*i, p[d])
		}
		var x, f mat.VecDense
		if err := x.SolveVec(k, rhs); err != nil {
			panic(err)
		}
		f.MulVec(full, &x)
		for i := range held {
			v := out[i]
			v[d] = f.AtVec(2 * i)
			out[i] = v
		}
	}
	return out
}

func TestLoads_fiveSupportsAgainstStiffness(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 50 {
		z := []float64{0, 60, 130, 200, 290, 350, 430, 520}
		dia := []float64{30, 35, 35, 42, 40, 28, 28}
		supports := []int{0, 2, 3, 5, 7}
		s := align.Stack{Parts: []align.Part{{Name: "bed"}}, Shafts: []align.Shaft{{
			Name: "main", Material: tolerance.Given(tolerance.Material{Modulus: tolerance.Given(207000.0)}),
		}}}
		held := map[int][2]float64{}
		for n, i := range supports {
			name := string(rune('a' + n))
			held[i] = [2]float64{0.1 * r.NormFloat64(), 0.1 * r.NormFloat64()}
			s.Parts[0].Bores = append(s.Parts[0].Bores, align.Bore{Name: name, Centre: at(held[i][0], held[i][1], z[i])})
			s.Shafts[0].Supports = append(s.Shafts[0].Supports, align.Support{Bore: "bed/" + name})
		}
		for i, d := range dia {
			s.Shafts[0].Sections = append(s.Shafts[0].Sections, align.Section{From: tolerance.Length(z[i]), To: tolerance.Length(z[i+1]), Diameter: tolerance.Length(d), Bore: 10})
		}
		want := stiffness(z, func(i int) float64 { return 207000 * math.Pi / 64 * (math.Pow(dia[i], 4) - 1e4) }, held)
		l := bend(t, s).Loads
		var most float64
		for _, f := range want {
			most = math.Max(most, math.Hypot(f[0], f[1]))
		}
		for n, i := range supports {
			if got := l.At[n].Force; math.Hypot(got.X-want[i][0], got.Y-want[i][1]) > 1e-9*most {
				t.Fatalf("support %d: %v, want %v", n, got, want[i])
			}
		}
	}
}

// Forces and moments balance, friction-free circles push along the line from rim to centre, and the whole turns with the machine.
func TestLoads_balanceAndTurn(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 100 {
		var c [4]align.Vec3
		for i := range c {
			c[i] = at(0.1*r.NormFloat64(), 0.1*r.NormFloat64(), float64(i)*100)
		}
		s := bed(c[:]...)
		for i := range s.Shafts[0].Supports {
			s.Shafts[0].Supports[i].Clearance = tolerance.Diametral(0.1 * r.Float64())
		}
		s.Shafts[0].Loads = []align.Load{{Name: "pull", Z: tolerance.Length(300 * r.Float64()), Force: align.Force{X: 200 * r.NormFloat64(), Y: 200 * r.NormFloat64()}}}
		l := bend(t, s).Loads
		pull := s.Shafts[0].Loads[0]
		x, y, mx, my := pull.Force.X, pull.Force.Y, pull.Force.X*float64(pull.Z), pull.Force.Y*float64(pull.Z)
		for i, f := range l.At {
			z := float64(c[i].Z)
			x, y, mx, my = x+f.Force.X, y+f.Force.Y, mx+f.Force.X*z, my+f.Force.Y*z
			size := math.Hypot(f.Force.X, f.Force.Y)
			shift := math.Hypot(float64(f.Shift.X), float64(f.Shift.Y))
			room := float64(s.Shafts[0].Supports[i].Clearance) / 2
			if shift > room+1e-9 {
				t.Fatalf("shaft outside its bore by %v", shift-room)
			}
			if size > 1e-3 {
				if cross := f.Force.X*float64(f.Shift.Y) - f.Force.Y*float64(f.Shift.X); math.Abs(cross) > 1e-8*size || math.Abs(shift-room) > 1e-9 {
					t.Fatalf("force off the rim: %v at %v", f.Force, f.Shift)
				}
			}
		}
		if math.Abs(x)+math.Abs(y) > 1e-8 || math.Abs(mx)+math.Abs(my) > 1e-5 {
			t.Fatalf("out of balance: %v %v, %v %v", x, y, mx, my)
		}
		for i := range s.Parts[0].Bores { // turned by a right angle: (x, y) becomes (-y, x)
			q := &s.Parts[0].Bores[i].Centre
			q.X, q.Y = -q.Y, q.X
		}
		p := &s.Shafts[0].Loads[0].Force
		p.X, p.Y = -p.Y, p.X
		for i, f := range bend(t, s).Loads.At {
			if g := l.At[i].Force; math.Hypot(f.Force.X+g.Y, f.Force.Y-g.X) > 1e-7*(1+math.Hypot(g.X, g.Y)) {
				t.Fatalf("turned: %v, want %v turned", f.Force, g)
			}
		}
	}
}

// Without clearance the shaft is a linear spring: loads add up, and what a load at one place bends another place by, it bends back (Maxwell, Betti).
func TestLoads_superpositionAndReciprocity(t *testing.T) {
	run := func(loads ...align.Load) []align.SideLoad {
		s := bed(at(0, 0.01, 0), at(0, -0.02, 140), at(0, 0.03, 300), at(0, 0, 420))
		s.Shafts[0].Loads = loads
		return bend(t, s).Loads.At
	}
	a := align.Load{Name: "a", Z: 70, Force: align.Force{X: 100, Y: -250}}
	b := align.Load{Name: "b", Z: 350, Force: align.Force{X: -30, Y: 400}}
	none, one, two, both := run(), run(a), run(b), run(a, b)
	for i := range none {
		want := one[i].Force.Y + two[i].Force.Y - none[i].Force.Y
		if math.Abs(both[i].Force.Y-want) > 1e-9*math.Abs(want) {
			t.Errorf("support %d: %v, want the sum %v", i, both[i].Force.Y, want)
		}
	}
	// Betti: a unit settlement at i changes the force at j as one at j changes that at i.
	settle := func(i, j int) float64 {
		c := []align.Vec3{at(0, 0, 0), at(0, 0, 140), at(0, 0, 300), at(0, 0, 420)}
		c[i].Y = 0.1
		return bend(t, bed(c...)).Loads.At[j].Force.Y
	}
	check.Relative(t, "reciprocity", settle(1, 3), settle(3, 1), 1e-10)
}

// A symmetric box gives symmetric loads.
func TestLoads_symmetry(t *testing.T) {
	s := bed(at(0.02, 0, 0), at(-0.03, 0.1, 100), at(-0.03, 0.1, 300), at(0.02, 0, 400))
	for i := range s.Shafts[0].Supports {
		s.Shafts[0].Supports[i].Clearance = 0.03
	}
	l := bend(t, s).Loads
	for i := range 2 {
		a, b := l.At[i].Force, l.At[3-i].Force
		if math.Hypot(a.X-b.X, a.Y-b.Y) > 1e-8*math.Hypot(a.X, a.Y) {
			t.Errorf("support %d: %v, its mirror image %v", i, a, b)
		}
	}
}

// A springy support in series with the shaft: 1/k adds to L³/48EI.
func TestLoads_springs(t *testing.T) {
	const delta, k, length = 0.2, 3000.0, 300.0
	s := bed(at(0, 0, 0), at(0, delta, length/2), at(0, 0, length))
	s.Shafts[0].Supports[1].Stiffness = tolerance.Given(k)
	l := bend(t, s).Loads
	ei := 207000 * math.Pi / 64 * 30 * 30 * 30 * 30
	// Source: hand calculation, springs in series.
	check.Relative(t, "force", l.At[1].Force.Y, delta/(1/k+length*length*length/(48*ei)), 1e-11)
	check.Relative(t, "yield", float64(l.At[1].Shift.Y), -l.At[1].Force.Y/k, 1e-9)
}

// Two shafts that meet in a pocket, each on two supports and overhanging to the pocket: two cantilever-like springs in series.
func TestLoads_pocket(t *testing.T) {
	const delta = 0.05
	s := align.Stack{Parts: []align.Part{{Name: "bed", Bores: []align.Bore{
		{Name: "a", Centre: at(0, 0, 0)}, {Name: "b", Centre: at(0, 0, 100)}, {Name: "c", Centre: at(0, delta, 240)}, {Name: "d", Centre: at(0, delta, 400)},
	}}}}
	steel := tolerance.Given(tolerance.Material{Modulus: tolerance.Given(207000.0)})
	s.Shafts = []align.Shaft{
		{Name: "input", Material: steel, Supports: []align.Support{{Bore: "bed/a"}, {Bore: "bed/b"}}, Sections: []align.Section{{From: 0, To: 170, Diameter: 30}}},
		{Name: "main", Material: steel, Supports: []align.Support{{Bore: "bed/c"}, {Bore: "bed/d"}}, Sections: []align.Section{{From: 170, To: 400, Diameter: 24}}},
	}
	s.Pockets = []align.Pocket{{Name: "pocket", Between: [2]string{"input", "main"}, Z: 170}}
	// Source: overhang formula: tip deflection F a²(L + a)/(3EI) under a force F at the tip of an overhang a beyond a span L.
	i30, i24 := math.Pi/64*30*30*30*30, math.Pi/64*24*24*24*24
	give := 70*70*(100+70)/(3*207000*i30) + 70*70*(160+70)/(3*207000*i24)
	l := bend(t, s).Loads
	pocket := l.At[4]
	if pocket.Name != "pocket" || pocket.Shaft != "input" || !pocket.Pocket {
		t.Fatalf("want the pocket last, on its first-named shaft: %+v", pocket)
	}
	check.Relative(t, "force on the input shaft, up", pocket.Force.Y, delta/give, 1e-10)
	check.Relative(t, "front bearing", l.At[0].Force.Y, delta/give*70/100, 1e-10)
}

func TestLoads_faults(t *testing.T) {
	s := bed(at(0, 0, 0), at(0, 0, 100))
	s.Shafts[0].Material = tolerance.Optional[tolerance.Material]{}
	s.Shafts[0].Sections = append(s.Shafts[0].Sections, align.Section{From: 120, To: 130, Diameter: 20})
	err := s.Validate()
	if !errors.Is(err, fault.ErrMissing) || !errors.Is(err, fault.ErrConflict) {
		t.Errorf("no material, and sections that do not meet: %v", err)
	}
	s = bed(at(0, 0, 0), at(0, 0, 100))
	s.Shafts[0].Sections = nil
	s.Shafts[0].Loads = []align.Load{{Name: "pull", Force: align.Force{X: math.NaN()}}}
	if err := s.Validate(); !errors.Is(err, fault.ErrMissing) || !errors.Is(err, fault.ErrOutOfRange) {
		t.Errorf("loads without sections, and not a number: %v", err)
	}
}

// Loads in a compiled plan: equal to those of the whole evaluation, and nothing allocated.
func TestPlan_sideForce(t *testing.T) {
	s := bed(at(0, 0, 0), at(0, 0.1, 140), at(0.03, 0, 300), at(0, 0, 420))
	for i := range s.Shafts[0].Supports {
		s.Shafts[0].Supports[i].Clearance = 0.04
	}
	src := align.Source{Name: "b", Moves: []align.Move{{Gain: 1, Of: align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[0].Bores[1].Centre.Y })}}}
	p, err := s.Compile([]align.Source{src}, nil, []align.Output{{What: align.SideForce, Of: "bed/b"}, {What: align.SideForce, Of: "bed/d"}})
	if err != nil {
		t.Fatal(err)
	}
	e := p.NewEvaluator()
	x, y := [][]float64{{0, 0.02, -0.2, 0.3}}, [][]float64{make([]float64, 4), make([]float64, 4)}
	if err := e.Evaluate(y, x, 4); err != nil {
		t.Fatal(err)
	}
	for i, d := range x[0] {
		q := s
		q.Parts = []align.Part{s.Parts[0]}
		q.Parts[0].Bores = append([]align.Bore(nil), s.Parts[0].Bores...)
		q.Parts[0].Bores[1].Centre.Y += tolerance.Length(d)
		l := bend(t, q).Loads
		check.Relative(t, "b", y[0][i], math.Hypot(l.At[1].Force.X, l.At[1].Force.Y), 1e-9)
		check.Relative(t, "d", y[1][i], math.Hypot(l.At[3].Force.X, l.At[3].Force.Y), 1e-9)
	}
	if n := testing.AllocsPerRun(50, func() { _ = e.Evaluate(y, x, 4) }); n > 0 {
		t.Errorf("%v allocations in 4 samples", n)
	}
}

func BenchmarkPlan_sideForce(b *testing.B) {
	s := box()
	steel := tolerance.Given(tolerance.Material{Modulus: tolerance.Given(207000.0)})
	for i := range s.Shafts {
		s.Shafts[i].Material = steel
	}
	s.Shafts[0].Sections = []align.Section{{From: -60, To: 200, Diameter: 30}}
	s.Shafts[1].Sections = []align.Section{{From: 180, To: 260, Diameter: 32}, {From: 260, To: 500, Diameter: 40}}
	s.Shafts[1].Loads = []align.Load{{Name: "gear", Z: 220, Force: align.Force{X: 800, Y: 300}}}
	s.Parts[2].Rear.Slope.X = 3e-3 // no room
	lies := []align.Lie{align.LiesRest, align.LiesRest, align.LiesRest}
	src := align.Source{Name: "wedge", Moves: []align.Move{{Gain: 1, Of: align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[2].Rear.Slope.Y })}}}
	p, err := s.Compile([]align.Source{src}, lies, []align.Output{{What: align.Margin}, {What: align.SideForce, Of: "tail/bush"}})
	if err != nil {
		b.Fatal(err)
	}
	const n = 64
	e := p.NewEvaluator()
	x, y := [][]float64{make([]float64, n)}, [][]float64{make([]float64, n), make([]float64, n)}
	for i := range n {
		x[0][i] = 1e-5 * float64(i)
	}
	b.ReportAllocs()
	for b.Loop() {
		if err := e.Evaluate(y, x, n); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(n)*float64(b.N)/b.Elapsed().Seconds(), "samples/s")
}

// A spur gear: the tooth force along its pressure angle, away from the mate. Source: Ft = 2T/d, Fr = Ft tan α, any machine design text.
func TestLoads_spurGear(t *testing.T) {
	s := bed(at(0, 0, 0), at(0, 0, 300))
	gear := &align.GearForce{Torque: 50, PitchDiameter: 100, Mate: 0}
	s.Shafts[0].Loads = []align.Load{{Name: "gear", Z: 150, Gear: gear}}
	l := bend(t, s).Loads
	check.Relative(t, "the housing holds it up", l.At[0].Force.Y, 500*math.Tan(20*math.Pi/180), 1e-12)
	check.Relative(t, "and to the left", l.At[0].Force.X, -500, 1e-12)
	gear.Torque = -50 // driven the other way round, it still parts from its mate
	l = bend(t, s).Loads
	check.Relative(t, "held up still", l.At[0].Force.Y, 500*math.Tan(20*math.Pi/180), 1e-12)
	check.Relative(t, "and to the right", l.At[0].Force.X, 500, 1e-12)
}

// Guides give ratios; without one there is none.
func TestLoads_guides(t *testing.T) {
	s := bed(at(0, 0, 0), at(0, 0.02, 150), at(0, 0, 300))
	s.References = []align.Reference{{Name: "ends", Through: [2]string{"bed/a", "bed/c"}}}
	s.Shafts[0].Supports[1].Guide = align.Guide{Offset: tolerance.Given(tolerance.Length(0.05)), Force: tolerance.Given(100.0), Because: "invented"}
	a := bend(t, s)
	g := a.Supports[1].Guides
	check.Relative(t, "offset", g.Offset.Value, 0.4, 1e-12)
	check.Relative(t, "force", g.Force.Value, 2.92639355682, 1e-11)
	if a.Supports[0].Guides.Force.Given || g.Because != "invented" {
		t.Errorf("%+v", a.Supports[0].Guides)
	}
}

// The running clearance as an output: D (α_bore ΔT_part − α_shaft ΔT_shaft) more. Source: hand calculation, 50 mm, aluminium at 80 °C on steel at 70 °C.
func TestRunningClearance(t *testing.T) {
	s := bed(at(0, 0, 0), at(0, 0, 300))
	s.Parts[0].Material = tolerance.Given(tolerance.Material{Expansion: 21.8e-6})
	s.Parts[0].Temperature = tolerance.Given(tolerance.Celsius(80))
	s.Shafts[0].Material.Value.Expansion = 11.5e-6
	s.Shafts[0].Temperature = tolerance.Given(tolerance.Celsius(70))
	s.Shafts[0].Supports[1].Clearance, s.Shafts[0].Supports[1].Journal = 0.02, tolerance.Given(tolerance.Length(50))
	r, _, err := s.Ranges([]align.Output{{What: align.RunningClearance, Of: "bed/b"}})
	if err != nil {
		t.Fatal(err)
	}
	check.Relative(t, "clearance", r[0].Rest.Value, 0.02+50*(21.8e-6*60-11.5e-6*50), 1e-12)
}
