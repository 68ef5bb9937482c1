package align_test

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"sync"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// wedgeX refers to a number that every box of these tests has.
var wedgeX = align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[2].Rear.Slope.X })

// A reference that does not lead into the plan's own stack, or that moves nothing, is an error with its place, and nothing is written.
func TestCompile_references(t *testing.T) {
	s := box()
	before := s.Clone()
	local := 0.5
	for _, c := range []struct {
		name string
		move align.Move
		path string
		err  error
	}{
		{"the caller's own stack", align.Move{Gain: 1, Of: align.NumberOf(func(*align.Stack) *float64 { return &s.Parts[2].Rear.Slope.X })}, "/sources/1/moves/1", fault.ErrUnknownName},
		{"some other number", align.Move{Gain: 1, Of: align.NumberOf(func(*align.Stack) *float64 { return &local })}, "/sources/1/moves/1", fault.ErrUnknownName},
		{"an index out of range", align.Move{Gain: 1, Of: align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[99].Rear.Slope.X })}, "/sources/1/moves/1", fault.ErrUnknownName},
		{"a nil face", align.Move{Gain: 1, Of: align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[0].Front.Slope.X })}, "/sources/1/moves/1", fault.ErrUnknownName},
		{"a nil pointer", align.Move{Gain: 1, Of: align.NumberOf(func(*align.Stack) *float64 { return nil })}, "/sources/1/moves/1", fault.ErrMissing},
		{"a nil function", align.Move{Gain: 1, Of: align.NumberOf[float64](nil)}, "/sources/1/moves/1", fault.ErrMissing},
		{"no number", align.Move{Gain: 1}, "/sources/1/moves/1", fault.ErrMissing},
		{"a number that is not given", align.Move{Gain: 1, Of: align.NumberOf(func(s *align.Stack) *tolerance.Celsius { return &s.Parts[2].Temperature.Value })}, "/sources/1/moves/1", fault.ErrUnknownName},
		{"no gain", align.Move{Of: wedgeX}, "/sources/1/moves/1/gain", fault.ErrOutOfRange},
		{"a gain that is not a number", align.Move{Of: wedgeX, Gain: math.NaN()}, "/sources/1/moves/1/gain", fault.ErrOutOfRange},
		{"an infinite gain", align.Move{Of: wedgeX, Gain: math.Inf(1)}, "/sources/1/moves/1/gain", fault.ErrOutOfRange},
	} {
		good := align.Move{Of: wedgeX, Gain: 1}
		p, err := s.Compile([]align.Source{{Name: "sound", Moves: []align.Move{good}}, {Name: "the odd one", Moves: []align.Move{good, c.move}}}, atRest, boxOutputs)
		var f *fault.FieldError
		if p != nil || !errors.Is(err, c.err) || !errors.As(err, &f) || f.Path != c.path || !strings.Contains(f.Value, `"the odd one"`) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if !reflect.DeepEqual(s, before) {
		t.Error("the caller's stack has changed")
	}
}

// All faults are said at once.
func TestCompile_everyFault(t *testing.T) {
	_, err := box().Compile([]align.Source{{Name: "a", Moves: []align.Move{{Of: wedgeX}}}, {Name: "b", Moves: []align.Move{{Gain: 1}}}}, atRest, []align.Output{{What: align.TIRSize, Of: "nowhere/at all"}})
	for _, want := range []string{"/sources/0/moves/0/gain", "/sources/1/moves/0", "output 0"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q is not said: %v", want, err)
		}
	}
}

// evaluateOne is the first output of a plan for one sample.
func evaluateOne(t *testing.T, p *align.Plan, x ...float64) float64 {
	t.Helper()
	in, out := make([][]float64, len(x)), make([][]float64, p.Outputs())
	for i := range x {
		in[i] = x[i : i+1]
	}
	for i := range out {
		out[i] = make([]float64, 1)
	}
	if err := p.NewEvaluator().Evaluate(out, in, 1); err != nil {
		t.Fatal(err)
	}
	return out[0][0]
}

// A plan keeps nothing of the caller's: not the gain of a move, nor a source, nor an output, nor the stack.
func TestCompile_copiesWhatItIsGiven(t *testing.T) {
	s, sources, outputs := box(), boxSources(), append([]align.Output(nil), boxOutputs...)
	p, err := s.Compile(sources, atRest, outputs)
	if err != nil {
		t.Fatal(err)
	}
	x := []float64{1e-4, 2e-4, 0.02, 0.01}
	want := evaluateOne(t, p, x...)
	for i := range sources {
		sources[i].Moves[0].Gain *= 7
	}
	sources[2].Moves[0].Of = wedgeX
	outputs[0] = align.Output{What: align.Assembles}
	s.Parts[2].Rear.Slope.X = 0.01
	if got := evaluateOne(t, p, x...); got != want {
		t.Errorf("the plan says %v after its sources were edited, and %v before", got, want)
	}
	if p.Inputs() != len(sources) {
		t.Errorf("%d inputs", p.Inputs())
	}
}

// One number found as two types is one number, and what two sources add to it adds up.
//
// Source: hand calculation: both deviations go to one centre coordinate, so their sum decides.
func TestCompile_oneNumberTwoTypes(t *testing.T) {
	asLength := align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[3].Bores[0].Centre.X })
	asFloat := align.NumberOf(func(s *align.Stack) *float64 { return (*float64)(&s.Parts[3].Bores[0].Centre.X) })
	out := []align.Output{{What: align.OffsetX, Of: "tail/bush"}}
	two, err := box().Compile([]align.Source{{Name: "a", Moves: []align.Move{{Of: asLength, Gain: 1}}}, {Name: "b", Moves: []align.Move{{Of: asFloat, Gain: 1}}}}, atRest, out)
	if err != nil {
		t.Fatal(err)
	}
	one, err := box().Compile([]align.Source{{Name: "a", Moves: []align.Move{{Of: asLength, Gain: 1}}}}, atRest, out)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := evaluateOne(t, two, 0.25, 0.125), evaluateOne(t, one, 0.375); math.Abs(got-want) > 1e-12 {
		t.Errorf("two sources move it to %v, their sum to %v", got, want)
	}
}

// A source that moves nothing has a column all the same.
func TestCompile_sourceWithoutMoves(t *testing.T) {
	p, err := box().Compile([]align.Source{{Name: "elsewhere"}}, atRest, boxOutputs)
	if err != nil || p.Inputs() != 1 {
		t.Fatal(err)
	}
	if a, b := evaluateOne(t, p, 0), evaluateOne(t, p, 1); a != b {
		t.Errorf("%v becomes %v", a, b)
	}
}

// A stack, a plan and an assembly are shared by whoever reads them. Run with -race.
func TestStack_shared(t *testing.T) {
	s := box()
	before := s.Clone()
	p, err := s.Compile(boxSources(), atRest, boxOutputs)
	if err != nil {
		t.Fatal(err)
	}
	a, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	sources := boxSources()
	x := []float64{1e-4, 2e-4, 0.02, 0.01}
	want := evaluateOne(t, p, x...)
	var wg sync.WaitGroup
	for range 4 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			if got := evaluateOne(t, p, x...); got != want {
				t.Errorf("%v, want %v", got, want)
			}
			if err := s.Validate(); err != nil {
				t.Error(err)
			}
			own, err := s.Compile(sources, atRest, boxOutputs)
			if err != nil {
				t.Error(err)
				return
			}
			if got := evaluateOne(t, own, x...); got != want {
				t.Errorf("%v, want %v", got, want)
			}
			if b, err := s.Solve(); err != nil || b.Line.Margin != a.Line.Margin {
				t.Error("another margin", err)
			}
			if _, _, err := s.Ranges(boxOutputs[:3]); err != nil {
				t.Error(err)
			}
			if _, err := rangeOf(a, boxOutputs[2]); err != nil {
				t.Error(err)
			}
			if _, err := s.FloatSpread(1, align.LiesUniform); err != nil {
				t.Error(err)
			}
			var shown align.Assembly
			if err := p.NewEvaluator().Explain(&shown, x); err != nil {
				t.Error(err)
			}
			_, _ = p.Drawn(), p.Outputs()
		}()
	}
	wg.Wait()
	if !reflect.DeepEqual(s, before) {
		t.Error("the stack has changed")
	}
}
