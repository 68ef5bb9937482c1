package align

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/borestack/tolerance"
)

// plainStack is a random stack whose joints do not lie anywhere, with everything that columns know.
func plainStack(rng *rand.Rand) Stack {
	s := randomStack(rng)
	mm := func(sd float64) tolerance.Length { return tolerance.Length(sd * rng.NormFloat64()) }
	for i := range s.Joints {
		j := &s.Joints[i]
		j.Lies = []Lie{LiesRest, LiesHang, LiesUniform, LiesRim}[rng.IntN(4)]
		if rng.IntN(3) == 0 {
			j.Gasket = &Gasket{0.5 + mm(0.1), Slope{1e-4 * rng.NormFloat64(), 1e-4 * rng.NormFloat64()}}
		}
		a, b := s.Parts[i].Rear, s.Parts[i+1].Front
		switch rng.IntN(5) {
		case 0:
			j.Float = &Float{mm(0.01), mm(0.01), tolerance.Angle(1e-4 * rng.NormFloat64())}
		case 1: // bolts alone
			a.Pilot, b.Pilot, j.Pins, j.Engagement.Given = nil, nil, nil, false
			j.Bolts = []Vec2{{90, 0}, {-90, 10}, {0, 95}}
			j.BoltClearance = tolerance.Given(tolerance.Diametral(0.05 + 0.3*rng.Float64()))
		case 2: // a ring in two bores
			if a.Pilot != nil {
				a.Pilot.Kind, b.Pilot.Kind = PilotBore, PilotBore
				j.RegisterRing = tolerance.Given(149.98 + mm(0.02))
			}
		}
		j.Rules = []Rules{RulesAuto, RulesFlush}[rng.IntN(2)]
		if i == 0 && rng.IntN(3) == 0 {
			onHeights(rng, j, a, b)
		}
	}
	for i := range s.Parts {
		p := &s.Parts[i]
		if p.Front != nil && rng.IntN(3) == 0 { // level and still
			p.Front.Slope = Slope{}
		}
		if rng.IntN(3) == 0 {
			p.Material = tolerance.Given(tolerance.Material{Expansion: 23e-6})
			p.Temperature = tolerance.Given(tolerance.Celsius(20 + 60*rng.Float64()))
			if rng.IntN(2) == 0 {
				p.MeasuredAt = tolerance.Given(tolerance.Celsius(25))
			}
		}
		if i > 0 && rng.IntN(4) == 0 {
			p.Moved = Vec3{mm(0.01), mm(0.01), mm(0.01)}
		}
		if rng.IntN(3) == 0 {
			endForEnd(p)
		}
	}
	s.Chains = []Chain{{Name: "play", Links: []Link{
		{Name: "cases", From: "p0/rear", To: s.Parts[1].Name + "/front"},
		{Name: "shim", Length: 3, Gain: tolerance.Given(-0.5)},
	}}}
	if s.Parts[0].Turned {
		s.Chains[0].Links[0].From = "p0/front"
	}
	if s.Parts[1].Turned {
		s.Chains[0].Links[0].To = s.Parts[1].Name + "/rear"
	}
	s.Shafts[0].Supports[0].Runout = 0.003
	s.Parts[0].Bores[0].Slope = Slope{}
	for i := range s.Shafts[0].Supports {
		s.Shafts[0].Supports[i].Journal = tolerance.Given(tolerance.Length(40))
	}
	s.Meshes = []Mesh{{Name: "gears", Axes: [2][2]string{{"p0/a", "p1/a"}, {"p0/c", "p1/c"}}, Z: 60, FaceWidth: 20}}
	if rng.IntN(16) == 0 { // an elastic shaft
		m := &s.Shafts[0]
		m.Material = tolerance.Given(tolerance.Material{Modulus: tolerance.Given(207000.0)})
		m.Sections = []Section{{From: -500, To: 1500, Diameter: 30}}
		m.Loads = []Load{{Name: "belt", Z: 40, Force: Force{X: 500, Y: -200}}}
	}
	s.References = []Reference{
		{Name: "two", Through: [2]string{"p0/a", "p1/a"}}, {Name: "axis", Axis: "p1/a"}, {Name: "best", Best: []string{"p0/a", "p1/a", "p1/c"}},
	}
	return s
}

// onHeights measures heights on one face of a joint or both, and seats it on them.
func onHeights(rng *rand.Rand, j *Joint, a, b *Face) {
	j.SeatOnPoints = true
	which := 1 + rng.IntN(3)
	n := []int{5, 8, 24}[rng.IntN(3)]
	for side, f := range []*Face{a, b} {
		if which>>side&1 == 0 {
			continue
		}
		z := float64(f.Z)
		f.Z, f.Slope = 0, Slope{}
		for k := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			f.Points = append(f.Points, Vec3{tolerance.Length(95 * cos), tolerance.Length(95 * sin), tolerance.Length(z + 0.01*rng.NormFloat64())})
		}
	}
	if rng.IntN(3) == 0 {
		j.Flatten = 0.3
	}
}

// endForEnd describes the same part as it was measured the other way round, and mounts it turned.
func endForEnd(p *Part) {
	p.Turned = true
	p.Front, p.Rear = p.Rear, p.Front
	for _, f := range [2]*Face{p.Front, p.Rear} {
		if f == nil {
			continue
		}
		f.Z, f.Slope.Y = -f.Z, -f.Slope.Y
		if q := f.Pilot; q != nil {
			q.Centre.X, q.Slope.Value.Y = -q.Centre.X, -q.Slope.Value.Y
		}
		for i := range f.Dowels {
			f.Dowels[i].Centre.X = -f.Dowels[i].Centre.X
		}
		for i := range f.Points {
			f.Points[i].X, f.Points[i].Z = -f.Points[i].X, -f.Points[i].Z
		}
	}
	for i := range p.Bores {
		b := &p.Bores[i]
		b.Centre.X, b.Centre.Z, b.Slope.Y = -b.Centre.X, -b.Centre.Z, -b.Slope.Y
	}
}

// everyNumber lists a source for each number of a stack that columns know, some of them moving the same number, and how far each goes.
func everyNumber(s *Stack) (in []Source, size []float64) {
	add := func(sd float64, n Number) {
		in = append(in, Source{Name: fmt.Sprint(len(in)), Moves: []Move{{n, 1}}})
		size = append(size, sd)
	}
	length := func(f func(s *Stack) *tolerance.Length) { add(0.01, NumberOf(f)) }
	ratio := func(f func(s *Stack) *float64) { add(1e-4, NumberOf(f)) }
	for p := range s.Parts {
		for side := range 2 {
			face := func(s *Stack) *Face { return [2]*Face{s.Parts[p].Front, s.Parts[p].Rear}[side] }
			f := face(s)
			if f == nil {
				continue
			}
			for k := range f.Points {
				add(0.003, NumberOf(func(s *Stack) *tolerance.Length { return &face(s).Points[k].Z }))
			}
			if f.Points == nil {
				length(func(s *Stack) *tolerance.Length { return &face(s).Z })
			}
			if f.Slope != (Slope{}) {
				ratio(func(s *Stack) *float64 { return &face(s).Slope.X })
				ratio(func(s *Stack) *float64 { return &face(s).Slope.Y })
			}
			if f.Pilot != nil {
				length(func(s *Stack) *tolerance.Length { return &face(s).Pilot.Diameter })
				length(func(s *Stack) *tolerance.Length { return &face(s).Pilot.Centre.X })
				length(func(s *Stack) *tolerance.Length { return &face(s).Pilot.Centre.Y })
				if f.Pilot.Slope.Given {
					ratio(func(s *Stack) *float64 { return &face(s).Pilot.Slope.Value.X })
					ratio(func(s *Stack) *float64 { return &face(s).Pilot.Slope.Value.Y })
				}
			}
			for d := range f.Dowels {
				length(func(s *Stack) *tolerance.Length { return &face(s).Dowels[d].Centre.X })
				length(func(s *Stack) *tolerance.Length { return &face(s).Dowels[d].Centre.Y })
				length(func(s *Stack) *tolerance.Length { return &face(s).Dowels[d].Diameter })
			}
		}
		for b := range s.Parts[p].Bores {
			length(func(s *Stack) *tolerance.Length { return &s.Parts[p].Bores[b].Centre.X })
			length(func(s *Stack) *tolerance.Length { return &s.Parts[p].Bores[b].Centre.Y })
			length(func(s *Stack) *tolerance.Length { return &s.Parts[p].Bores[b].Centre.Z })
			ratio(func(s *Stack) *float64 { return &s.Parts[p].Bores[b].Slope.X })
			ratio(func(s *Stack) *float64 { return &s.Parts[p].Bores[b].Slope.Y })
		}
	}
	for i := range s.Joints {
		j := &s.Joints[i]
		if j.Gasket != nil {
			length(func(s *Stack) *tolerance.Length { return &s.Joints[i].Gasket.Thickness })
			ratio(func(s *Stack) *float64 { return &s.Joints[i].Gasket.Slope.X })
			ratio(func(s *Stack) *float64 { return &s.Joints[i].Gasket.Slope.Y })
		}
		if j.Float != nil {
			length(func(s *Stack) *tolerance.Length { return &s.Joints[i].Float.X })
			add(1e-4, NumberOf(func(s *Stack) *tolerance.Angle { return &s.Joints[i].Float.Turn }))
		}
		for n := range j.Pins {
			length(func(s *Stack) *tolerance.Length { return &s.Joints[i].Pins[n].Diameter })
			length(func(s *Stack) *tolerance.Length { return &s.Joints[i].Pins[n].Step.Y })
		}
		if len(j.Bolts) > 0 {
			add(0.01, NumberOf(func(s *Stack) *tolerance.Diametral { return &s.Joints[i].BoltClearance.Value }))
		}
	}
	add(0.01, NumberOf(func(s *Stack) *tolerance.Diametral { return &s.Shafts[0].Supports[0].Clearance }))
	add(0.001, NumberOf(func(s *Stack) *tolerance.TIR { return &s.Shafts[0].Supports[0].Runout }))
	add(0.01, NumberOf(func(s *Stack) *tolerance.Length { return &s.Chains[0].Links[1].Length }))
	// two sources on one number
	in[0].Moves = append(in[0].Moves, Move{in[len(in)-1].Moves[0].Of, 0.25}, Move{NumberOf(func(s *Stack) *float64 { return &s.Parts[0].Bores[0].Slope.X }), 1})
	return in, size
}

// Samples worked out side by side are those that the kernel works out one at a time, over every kind of joint and every number, and do not depend on how many are asked for.
func TestColumns_sameAsKernel(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 4))
	boxes, samples, hard := 0, 0, 0
	numbers, close, exact := 0, 0, 0
	for range 160 {
		s := plainStack(rng)
		in, size := everyNumber(&s)
		for i := len(in) - 1; i >= 0; i-- { // some numbers stay still
			if rng.IntN(4) == 0 {
				in, size = slices.Delete(in, i, i+1), slices.Delete(size, i, i+1)
			}
		}
		out := []Output{{What: Margin}, {What: Use}, {What: ChainLength, Of: "play"}, {What: Assembles}, {What: RunningClearance, Of: s.Shafts[0].Supports[0].Bore}}
		for i := range s.Joints {
			out = append(out, Output{What: InPlane, Of: "gears"}, Output{What: OutOfPlane, Of: "gears"},
				Output{What: Assembles, Of: s.JointName(i)}, Output{What: AssemblyUse, Of: s.JointName(i)}, Output{What: TurnAngle, Of: s.JointName(i)}, Output{What: GapSize, Of: s.JointName(i)})
		}
		for _, sup := range s.Shafts[0].Supports[:2] {
			out = append(out, Output{What: SideForce, Of: sup.Bore})
		}
		last := s.Parts[len(s.Parts)-1].Name
		for _, of := range []string{"p0/a", last + "/a", last + "/c"} {
			for q := OffsetSize; q <= TiltY; q++ {
				out = append(out, Output{What: q, Of: of, From: []string{"", "axis", "best"}[int(q)%3]})
			}
		}
		p, err := s.Compile(in, nil, out)
		if err != nil {
			t.Logf("%v", err)
			continue
		}
		boxes++
		const n = chunk + 6
		x := make([][]float64, p.Inputs())
		for c := range x {
			x[c] = make([]float64, n)
			for i := range x[c] {
				if c < len(size) {
					x[c][i] = size[c] * rng.NormFloat64()
				} else if x[c][i] = 0.001 + 0.998*rng.Float64(); i%2 == 0 && (c-len(size))%FloatColumns > 0 {
					x[c][i] = -1 // the first of the three seeds the float
				}
			}
		}
		table := func() [][]float64 {
			y := make([][]float64, len(out))
			for o := range y {
				y[o] = make([]float64, n)
			}
			return y
		}
		fast, slow := p.NewEvaluator(), p.NewEvaluator()
		if fast.columns == nil {
			t.Fatalf("box %d has no columns: %+v", boxes, s)
		}
		slow.columns = nil
		y, want := table(), table()
		if err := fast.Evaluate(y, x, n); err != nil {
			t.Fatal(err)
		}
		for _, h := range fast.columns.hard[:n-chunk] {
			samples++
			if h {
				hard++
			}
		}
		if err := slow.Evaluate(want, x, n); err != nil {
			t.Fatal(err)
		}
		for o := range y {
			for i := range y[o] {
				if y[o][i] == want[o][i] {
					exact++
					continue
				}
				d := math.Abs(y[o][i] - want[o][i])
				numbers++
				if d <= 1e-11*(1+math.Abs(want[o][i])) {
					close++
				}
				// a program proves how far a joint hangs to 1e-13 mm; where along the rim is known to the root of that
				limit := 1e-7
				if want[3][i] == 0 { // where a joint fouls, a program finds where to a few tenths of a nanometre; a reference may magnify that, and stiff shafts
					if limit = 1e-5; out[o].What == SideForce {
						limit = 1e-3
					}
				}
				if !(d <= limit*(1+math.Abs(want[o][i]))) {
					t.Errorf("box %d, output %+v of sample %d: %.17g in columns, %.17g alone (%g)", boxes, out[o], i, y[o][i], want[o][i], d)
				}
			}
		}
		one := make([][]float64, len(x))
		for c := range x {
			one[c] = x[c][n-1:]
		}
		again := table()
		if err := fast.Evaluate(again, one, 1); err != nil {
			t.Fatal(err)
		}
		for o := range y {
			if again[o][0] != y[o][n-1] {
				t.Errorf("box %d, output %+v: %v alone, %v among others", boxes, out[o], again[o][0], y[o][n-1])
			}
		}
		if t.Failed() {
			t.FailNow()
		}
	}
	t.Logf("%d boxes, %d of %d samples left to the kernel; %d numbers equal, of %d others %d within 1e-11", boxes, hard, samples, exact, numbers, close)
	if float64(close) < 0.95*float64(numbers) {
		t.Errorf("only %d of %d numbers agree within 1e-11", close, numbers)
	}
	if boxes < 100 || hard == 0 || 2*hard > samples {
		t.Errorf("%d boxes, %d of %d samples left to the kernel: want both ways tried", boxes, hard, samples)
	}
}

// Whatever the joints and the samples, a plan allocates nothing once it has run.
func TestColumns_allocs(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	for box := range 40 {
		s := plainStack(rng)
		in, size := everyNumber(&s)
		p, err := s.Compile(in, nil, []Output{{What: Margin}, {What: OffsetSize, Of: "p1/a"}, {What: Assembles}})
		if err != nil {
			continue
		}
		const n = chunk + 1
		x, y := make([][]float64, p.Inputs()), make([][]float64, p.Outputs())
		for c := range x {
			x[c] = make([]float64, n)
			for i := range x[c] {
				x[c][i] = rng.Float64()
				if c < len(size) {
					x[c][i] = size[c] * rng.NormFloat64()
				}
			}
		}
		for o := range y {
			y[o] = make([]float64, n)
		}
		e := p.NewEvaluator()
		run := func() {
			if err := e.Evaluate(y, x, n); err != nil {
				t.Fatal(err)
			}
		}
		if a := testing.AllocsPerRun(3, run); a != 0 {
			t.Errorf("box %d: %v allocations in %d samples", box, a, n)
		}
	}
}

// What columns do not know sends a plan to the kernel, rather than be taken as still.
func TestColumns_notPlain(t *testing.T) {
	margin := []Output{{What: Margin}}
	plain := func() Stack {
		rng := rand.New(rand.NewPCG(1, 2))
		for {
			s := plainStack(rng)
			for i := range s.Joints {
				s.Joints[i].Rules = RulesAuto
			}
			if j := &s.Joints[0]; j.Engagement.Given && !j.RegisterRing.Given && j.Float == nil && !j.SeatOnPoints && !s.Parts[0].Turned && !s.Parts[1].Turned {
				return s
			}
		}
	}
	for name, c := range map[string]struct {
		change func(s *Stack)
		in     []Source
		out    []Output
	}{
		"plain": {},
		"temperature": {func(s *Stack) {
			s.Parts[0].Material, s.Parts[0].Temperature = tolerance.Given(tolerance.Material{Expansion: 1e-5}), tolerance.Given(tolerance.Celsius(20))
		}, []Source{{Name: "t", Moves: []Move{{NumberOf(func(s *Stack) *tolerance.Celsius { return &s.Parts[0].Temperature.Value }), 1}}}}, nil},
		"clock":       {nil, []Source{{Name: "clock", Moves: []Move{{NumberOf(func(s *Stack) *tolerance.Angle { return &s.Joints[0].Clock }), 1}}}}, nil},
		"anywhere":    {func(s *Stack) { s.Joints[0].Lies, s.Joints[0].Float = LiesAny, nil }, nil, nil},
		"pilot leads": {func(s *Stack) { s.Joints[0].Rules = RulesPilot }, nil, nil},
		"a load": {func(s *Stack) {
			m := &s.Shafts[0]
			m.Material = tolerance.Given(tolerance.Material{Modulus: tolerance.Given(207000.0)})
			m.Sections = []Section{{From: -500, To: 1500, Diameter: 30}}
			m.Loads = []Load{{Name: "belt", Z: 40, Force: Force{X: 500, Y: -200}}}
		}, []Source{{Name: "x", Moves: []Move{{NumberOf(func(s *Stack) *float64 { return &s.Shafts[0].Loads[0].Force.X }), 1}}}}, nil},
		"where gears mesh": {func(s *Stack) {
			s.Meshes = []Mesh{{Name: "m", Axes: [2][2]string{{"p0/a", "p1/a"}, {"p0/c", "p1/c"}}, FaceWidth: 20}}
		}, []Source{{Name: "z", Moves: []Move{{NumberOf(func(s *Stack) *tolerance.Length { return &s.Meshes[0].Z }), 1}}}}, []Output{{What: InPlane, Of: "m"}}},
		"seat between points": {func(s *Stack) {
			s.Joints[0].SeatOnPoints, s.Joints[0].Interpolate = true, true
			for _, f := range []*Face{s.Parts[0].Facing(true), s.Parts[1].Facing(false)} {
				z := f.Z
				f.Z, f.Slope = 0, Slope{}
				f.Points = []Vec3{{90, 0, z}, {28, 86, z}, {-73, 53, z}, {-73, -53, z}, {28, -86, z}}
			}
		}, nil, nil},
		"readings": {func(s *Stack) {
			p := &s.Parts[0]
			p.Turned, p.Front, p.Rear.Slope = false, nil, Slope{}
			p.Rear.Sweep = &Sweep{Readings: Readings{Values: [][]tolerance.Length{{0}, {0.01}, {0}, {0}}}, Radius: 80}
		}, []Source{{Name: "r", Moves: []Move{{NumberOf(func(s *Stack) *tolerance.Length { return &s.Parts[0].Rear.Sweep.Values[1][0] }), 1}}}}, nil},
	} {
		s := plain()
		if c.change != nil {
			c.change(&s)
		}
		if c.out == nil {
			c.out = margin
		}
		p, err := s.Compile(c.in, nil, c.out)
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if got := p.NewEvaluator().columns != nil; got != (name == "plain" || name == "readings") {
			t.Errorf("%s: columns %v", name, got)
		}
	}
}

// How far thicknesses differ is worked out side by side as by the kernel, of stations read once, twice and not
// at all, to the last digit.
func TestColumns_thickness(t *testing.T) {
	rng := rand.New(rand.NewPCG(17, 5))
	moved := 0
	for range 40 {
		s := plainStack(rng)
		for k := range s.Joints {
			s.Joints[k].Lies = LiesRest
		}
		i := len(s.Parts) - 1
		f := s.Parts[i].Front
		if f == nil { // it is turned round
			continue
		}
		s.Parts[i].Rear = &Face{}
		f.Z, f.Slope, f.Points, f.Sweep = 0, Slope{}, nil, nil
		values := [][]tolerance.Length{{14.01}, {14.02, 14.024}, nil, {14.006}, {13.99}, {14.003}}
		s.Parts[i].Rear.Thickness = &Thickness{Radius: 90, Readings: Readings{Values: values}}
		var in []Source
		for k, v := range values {
			for n := range v {
				in = append(in, Source{Moves: []Move{{Of: NumberOf(func(s *Stack) *tolerance.Length { return &s.Parts[i].Rear.Thickness.Values[k][n] }), Gain: 1}}})
			}
		}
		if rng.IntN(4) == 0 {
			in = in[:0]
		}
		p, err := s.Compile(in, nil, []Output{{What: ThicknessVariation, Of: s.Parts[i].Name}, {What: Assembles}})
		if err != nil {
			t.Fatal(err)
		}
		fast, slow := p.NewEvaluator(), p.NewEvaluator()
		if slow.columns = nil; fast.columns == nil {
			t.Fatal("no columns")
		}
		const n = chunk + 6
		x, y, want := make([][]float64, len(in)), [2][]float64{}, [2][]float64{}
		for c := range x {
			for range n {
				x[c] = append(x[c], 0.01*rng.NormFloat64())
			}
		}
		for o := range y {
			y[o], want[o] = make([]float64, n), make([]float64, n)
		}
		if err := errors.Join(fast.Evaluate(y[:], x, n), slow.Evaluate(want[:], x, n)); err != nil {
			t.Fatal(err)
		}
		if !slices.Equal(y[0], want[0]) || !slices.Equal(y[1], want[1]) {
			t.Fatalf("in columns %v, alone %v", y, want)
		}
		if y[0][0] != y[0][1] {
			moved++
		}
	}
	if moved == 0 {
		t.Error("nothing moves: the case tests nothing")
	}
}
