package align_test

import (
	"math"
	"os"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
)

// lineOutputs are best and worst margin and use.
var lineOutputs = []align.Output{{What: align.Margin}, {What: align.Use}, {What: align.Margin, Best: true}, {What: align.Use, Best: true}}

// demonstrationStack is the invented box of examples/driveline.
func demonstrationStack(tb testing.TB) align.Stack {
	f, err := os.Open("../examples/driveline/harbour-launch.json")
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	rec, err := record.Decode(f)
	if err != nil {
		tb.Fatal(err)
	}
	s, err := rec.Stack()
	if err != nil {
		tb.Fatal(err)
	}
	return s
}

// threeSupports is the demonstration with one shaft in three bearings.
func threeSupports(tb testing.TB) align.Stack {
	s := demonstrationStack(tb)
	s.Shafts, s.Pockets, s.Candidates, s.States = s.Shafts[1:], nil, nil, nil
	s.Shafts[0].Supports = append([]align.Support{{Bore: "case/front bearing", Clearance: 0.03}}, s.Shafts[0].Supports...)
	s.Shafts[0].Supports[2].Kind, s.Shafts[0].Supports[2].Width = align.Bearing, 0
	return s
}

// The demonstration at rest and over the floats, with the bound of the worst and the push to the
// best.
func BenchmarkStack_Solve_demonstration(b *testing.B) {
	s := demonstrationStack(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := s.Solve(); err != nil {
			b.Fatal(err)
		}
	}
}

// The demonstration as a whole: the box, its states and its candidates, each with its ranges over
// the float.
func BenchmarkStack_Solve_everything(b *testing.B) {
	s := demonstrationStack(b)
	b.ReportAllocs()
	for b.Loop() {
		boxes := []align.Stack{s}
		for _, st := range s.States {
			in, err := s.InState(st.Name)
			if err != nil {
				b.Fatal(err)
			}
			boxes = append(boxes, in)
		}
		for _, c := range s.Candidates {
			for n := range c.Parts {
				with, err := s.WithCandidate(c.Place, n)
				if err != nil {
					b.Fatal(err)
				}
				boxes = append(boxes, with)
			}
		}
		for i := range boxes {
			if _, err := boxes[i].Solve(); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// A sample that looks at the floats from all sides allocates nothing once its memory is there.
func TestEvaluator_overFloatsAllocatesNothing(t *testing.T) {
	for name, s := range map[string]align.Stack{"demonstration": demonstrationStack(t), "three supports": threeSupports(t)} {
		p, err := s.Compile(nil, nil, append(lineOutputs[:4:4], align.Output{What: align.TIRSize, Of: "tail/tail bush", From: "box line"}, align.Output{What: align.ChainLength, Of: "main bearing end play"}))
		if err != nil {
			t.Fatal(err)
		}
		e := p.NewEvaluator()
		y := make([][]float64, p.Outputs())
		for i := range y {
			y[i] = make([]float64, 1)
		}
		if n := testing.AllocsPerRun(20, func() {
			if err := e.Evaluate(y, nil, 1); err != nil {
				t.Fatal(err)
			}
		}); n != 0 {
			t.Errorf("%s: %v allocations a sample", name, n)
		}
	}
}

// Several outputs of one box are what each is alone: none is worked out where another left the
// parts.
//
// Source: a second way to the same numbers.
func TestStack_Ranges_oneByOne(t *testing.T) {
	out := append(lineOutputs[:2:2], align.Output{What: align.TIRSize, Of: "tail/tail bush", From: "box line"}, align.Output{What: align.OffsetX, Of: "tail/tail bush"}, align.Output{What: align.TiltSize, Of: "tail/tail bush"}, align.Output{What: align.ChainLength, Of: "main bearing end play"})
	s := demonstrationStack(t)
	all, _, err := s.Ranges(out)
	if err != nil {
		t.Fatal(err)
	}
	p, err := s.Compile(nil, nil, out)
	if err != nil {
		t.Fatal(err)
	}
	y := make([][]float64, len(out))
	for i := range y {
		y[i] = make([]float64, 1)
	}
	if err := p.NewEvaluator().Evaluate(y, nil, 1); err != nil {
		t.Fatal(err)
	}
	for i, o := range out {
		one, _, err := s.Ranges(out[i : i+1])
		if err != nil {
			t.Fatal(err)
		}
		if all[i] != one[0] {
			t.Errorf("%v: %+v among others, %+v alone", o, all[i], one[0])
		}
		worst := one[0].High.Value
		switch o.What {
		case align.Margin:
			worst = one[0].Low.Value
		case align.OffsetX: // a sample has a component where the joints lie
			worst = one[0].Rest.Value
		}
		if math.Abs(y[i][0]-worst) > 1e-12*(1+math.Abs(worst)) {
			t.Errorf("%v: %.15g as a sample, %.15g as a range", o, y[i][0], worst)
		}
	}
}

// One sample of boxes whose joints lie anywhere: best and worst margin and use over the floats.
func BenchmarkOver_demonstration(b *testing.B) {
	three := threeSupports(b)
	for _, c := range []struct {
		name  string
		stack align.Stack
		out   []align.Output
	}{
		{"all", demonstrationStack(b), lineOutputs},
		{"worst", demonstrationStack(b), lineOutputs[:2]},
		{"best", demonstrationStack(b), lineOutputs[2:]},
		{"worst margin", demonstrationStack(b), lineOutputs[:1]},
		{"rest", demonstrationStack(b), nil},
		{"three supports", three, lineOutputs},
		{"three supports worst", three, lineOutputs[:2]},
		{"three supports rest", three, nil},
	} {
		b.Run(c.name, func(b *testing.B) {
			p, err := c.stack.Compile(nil, nil, c.out)
			if err != nil {
				b.Fatal(err)
			}
			e := p.NewEvaluator()
			y := make([][]float64, len(c.out))
			for i := range y {
				y[i] = make([]float64, 1)
			}
			b.ReportAllocs()
			for b.Loop() {
				if err := e.Evaluate(y, nil, 1); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
