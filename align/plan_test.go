package align_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// boxSources vary a wedge, a bore, a clearance and a pilot diameter.
func boxSources() []align.Source {
	return []align.Source{
		{Name: "wedge x", Moves: []align.Move{{Of: align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[2].Rear.Slope.X }), Gain: 1}}},
		{Name: "wedge y", Moves: []align.Move{{Of: align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[2].Rear.Slope.Y }), Gain: 1}}},
		{Name: "bush", Moves: []align.Move{{Of: align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[3].Bores[0].Centre.X }), Gain: 1}}},
		{Name: "fit", Moves: []align.Move{
			{Of: align.NumberOf(func(s *align.Stack) *tolerance.Diametral { return &s.Shafts[1].Supports[1].Clearance }), Gain: 1},
			{Of: align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[1].Rear.Pilot.Diameter }), Gain: -0.5},
		}},
	}
}

var boxOutputs = []align.Output{
	{What: align.Margin},
	{What: align.Use},
	{What: align.OffsetSize, Of: "tail/bush"},
	{What: align.TIRSize, Of: "tail/bush"},
	{What: align.TiltSize, Of: "tail/bush"},
	{What: align.TurnAngle, Of: "plate|tail"},
	{What: align.Assembles},
}

func columns(rng *rand.Rand, n int) [][]float64 {
	sd := []float64{1e-4, 1e-4, 0.02, 0.01}
	x := make([][]float64, len(sd))
	for i := range x {
		x[i] = make([]float64, n)
		for k := range x[i] {
			x[i][k] = sd[i] * rng.NormFloat64()
		}
	}
	return x
}

// atRest is a way to lie for every joint of the box.
var atRest = []align.Lie{align.LiesRest, align.LiesRest, align.LiesRest}

// The plan's numbers are those of one box solved on its own, at rest and over the float, and do not depend on what was evaluated before.
func TestEvaluator_sameAsSolve(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for _, lies := range [][]align.Lie{atRest, nil} {
		p, err := box().Compile(boxSources(), lies, boxOutputs)
		if err != nil {
			t.Fatal(err)
		}
		n := 12
		x := columns(rng, n)
		y := make([][]float64, p.Outputs())
		again := make([][]float64, p.Outputs())
		for i := range y {
			y[i], again[i] = make([]float64, n), make([]float64, 1)
		}
		e := p.NewEvaluator()
		if err := e.Evaluate(y, x, n); err != nil {
			t.Fatal(err)
		}
		for i := n - 1; i >= 0; i -= 5 {
			one := make([]float64, len(x))
			col := make([][]float64, len(x))
			for s := range x {
				one[s] = x[s][i]
				col[s] = x[s][i : i+1]
			}
			if err := e.Evaluate(again, col, 1); err != nil {
				t.Fatal(err)
			}
			for o := range y {
				if again[o][0] != y[o][i] {
					t.Errorf("output %d of sample %d: %v alone, %v in a column", o, i, again[o][0], y[o][i])
				}
			}
			var a align.Assembly
			if err := e.Explain(&a, one); err != nil {
				t.Fatal(err)
			}
			for o, out := range boxOutputs {
				r, err := rangeOf(&a, out)
				if err != nil {
					t.Fatal(err)
				}
				want := r.High.Value
				if out.What == align.Margin {
					want = r.Low.Value
				}
				if math.Abs(y[o][i]-want) > 1e-12*(1+math.Abs(want)) { // rotations are matrices in one, quaternions in the other
					t.Errorf("output %d of sample %d: plan %v, box %v", o, i, y[o][i], want)
				}
			}
			if lies != nil && math.Abs(float64(a.Line.Margin)-y[0][i]) > 1e-12 {
				t.Errorf("margin %v, assembly %v", y[0][i], float64(a.Line.Margin))
			}
		}
	}
}

func TestStack_Compile_errors(t *testing.T) {
	if _, err := box().Compile([]align.Source{{Name: "nothing", Moves: []align.Move{{Gain: 1}}}}, nil, nil); !errors.Is(err, fault.ErrMissing) {
		t.Error(err)
	}
	if _, err := box().Compile(nil, nil, []align.Output{{What: align.OffsetSize, Of: "tail/bsuh"}}); !errors.Is(err, fault.ErrUnknownName) {
		t.Error(err)
	}
	if _, err := box().Compile(nil, []align.Lie{align.LiesRest}, nil); !errors.Is(err, fault.ErrConflict) {
		t.Error(err)
	}
}

func TestEvaluator_Evaluate_allocs(t *testing.T) {
	p, err := box().Compile(boxSources(), atRest, boxOutputs)
	if err != nil {
		t.Fatal(err)
	}
	e := p.NewEvaluator()
	n := 64
	x := columns(rand.New(rand.NewPCG(2, 2)), n)
	y := make([][]float64, p.Outputs())
	for i := range y {
		y[i] = make([]float64, n)
	}
	run := func() {
		if err := e.Evaluate(y, x, n); err != nil {
			t.Fatal(err)
		}
	}
	run()
	if a := testing.AllocsPerRun(20, run); a != 0 {
		t.Errorf("%v allocations in %d samples", a, n)
	}
	for _, col := range y {
		for _, v := range col {
			if math.IsNaN(v) {
				t.Fatal("not a number")
			}
		}
	}
}

func BenchmarkEvaluator_fourParts(b *testing.B) {
	p, err := box().Compile(boxSources(), atRest, []align.Output{{What: align.Margin}, {What: align.Use}, {What: align.OffsetSize, Of: "tail/bush"}})
	if err != nil {
		b.Fatal(err)
	}
	e := p.NewEvaluator()
	const n = 256
	x := columns(rand.New(rand.NewPCG(3, 3)), n)
	y := make([][]float64, p.Outputs())
	for i := range y {
		y[i] = make([]float64, n)
	}
	b.ReportAllocs()
	for b.Loop() {
		if err := e.Evaluate(y, x, n); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/sample")
}

func BenchmarkStack_Solve_overFloat(b *testing.B) {
	s := box()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := s.Solve(); err != nil {
			b.Fatal(err)
		}
	}
}
