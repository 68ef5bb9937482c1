package stackup_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

// An output that grows to either side of a symmetrical nominal has no gain, and says so; one that is nearly a line does not.
func TestLinear_Doubt(t *testing.T) {
	for _, c := range []struct {
		name   string
		f      func(x []float64) float64
		doubts bool
	}{
		{"size of one", func(x []float64) float64 { return math.Abs(x[0]) }, true},
		{"square", func(x []float64) float64 { return x[0] * x[0] }, true},
		{"size of two", func(x []float64) float64 { return math.Hypot(x[0], x[1]) }, true},
		{"one side", func(x []float64) float64 { return math.Max(x[0], 0) }, true},
		{"beyond a gap", func(x []float64) float64 { return math.Max(math.Abs(x[0])-0.05, 0) }, true},
		{"far from zero", func(x []float64) float64 { return 1e6 + math.Abs(x[0]) }, true},
		{"beside a line", func(x []float64) float64 { return x[1] + 5*x[0]*x[0] }, true},
		{"a line", func(x []float64) float64 { return 3 + x[0] - 2*x[1] }, false},
		{"a little curved", func(x []float64) float64 { return x[0] + 0.1*x[0]*x[0] + x[1] }, false},
		{"a size far from zero", func(x []float64) float64 { return math.Hypot(5+x[0], x[1]) }, false},
		{"a constant", func([]float64) float64 { return 1.0 / 3 }, false},
		{"a third of a line", func(x []float64) float64 { return 1e3/3 + x[0]/3 + x[1]*1e-7 }, false},
	} {
		s := &stackup.Study{Model: stacktest.One(2, c.f), Inputs: []stackup.Input{stacktest.Uniform("a", -0.4, 0.4), stacktest.Uniform("b", -0.2, 0.2)}, Responses: []stackup.Response{{Name: "y"}}}
		l := stacktest.Must(s.Linearise(context.Background()))
		if doubts := l.Doubt(0) != ""; doubts != c.doubts {
			t.Errorf("%s: %q, bends %+v, gains %v", c.name, l.Doubt(0), l.Bends, l.Gain)
		}
		if _, err := l.Contributions(s, 0); (err != nil) != c.doubts || err != nil && !stacktest.Refused(err) {
			t.Errorf("%s: contributions: %v", c.name, err)
		}
	}
	// Source: hand calculation: y = |x| moves by the standard deviation 0.4/√3 to either side
	s := &stackup.Study{Model: stacktest.One(1, func(x []float64) float64 { return math.Abs(x[0]) }), Inputs: []stackup.Input{stacktest.Uniform("a", -0.4, 0.4)}}
	b := stacktest.Must(s.Linearise(context.Background())).Bends
	if sd := 0.4 / math.Sqrt(3); len(b) != 1 || math.Abs(b[0].Up-sd) > 1e-15 || math.Abs(b[0].Down-sd) > 1e-15 || b[0].Output != 0 || b[0].Column != 0 {
		t.Errorf("%+v", b)
	}
}

// A model that has no number one spread away is judged by its small steps.
func TestLinear_Doubt_narrow(t *testing.T) {
	for bend, want := range map[float64]bool{0: false, 1: true} {
		s := &stackup.Study{Model: stackup.Func{In: 1, Out: 1, Of: func(y, x []float64) error {
			if math.Abs(x[0]) > 0.5 {
				return errors.New("out of reach")
			}
			y[0] = (1-bend)*x[0] + bend*math.Abs(x[0])
			return nil
		}}, Inputs: []stackup.Input{stacktest.Normal("a", 0, 1)}}
		l := stacktest.Must(s.Linearise(context.Background()))
		if got := l.Doubt(0) != ""; got != want || len(l.Gain) != 1 {
			t.Errorf("bend %v: %q", bend, l.Doubt(0))
		}
	}
}

// What cannot be meant is an error.
func TestStudy_refusesWhatCannotBeMeant(t *testing.T) {
	ctx := context.Background()
	s := stacktest.Mixed()
	for name, err := range map[string]error{
		"second order of no output": second(s, 7),
		"second order of output -1": second(s, -1),
		"search with sign 0":        search(s, 0, 0),
		"search with sign 2":        search(s, 0, 2),
		"search with sign NaN":      search(s, 0, math.NaN()),
		"search of no number":       search(s, 7, 1),
		"search of number -1":       search(s, -1, 1),
	} {
		if !stacktest.Refused(err) {
			t.Errorf("%s: %v", name, err)
		}
	}
	var model *stackup.Func
	var pointer *ownLaw
	for name, change := range map[string]func(*stackup.Study){
		"a Func of nothing": func(s *stackup.Study) { s.Model = stackup.Func{In: 4, Out: 2} },
		"outputs below zero": func(s *stackup.Study) {
			s.Model = stackup.Func{In: 4, Out: -1, Of: func(_, _ []float64) error { return nil }}
		},
		"a nil pointer":        func(s *stackup.Study) { s.Model = model },
		"a nil law":            func(s *stackup.Study) { s.Inputs[0].Law = nil },
		"a nil pointer to one": func(s *stackup.Study) { s.Inputs[0].Law = pointer },
		"a pair of nothing":    func(s *stackup.Study) { s.Inputs[2].Joint = law.Independent{} },
		"half a pair":          func(s *stackup.Study) { s.Inputs[2].Joint = law.Independent{pointer, s.Inputs[0].Law} },
	} {
		s := stacktest.Mixed()
		change(s)
		var e *fault.FieldError
		if err := s.Validate(); !errors.As(err, &e) || e.Path == "" {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := s.Run(ctx, stackup.Settings{Samples: 10}); !errors.As(err, &e) {
			t.Errorf("%s: run: %v", name, err)
		}
		if _, err := s.Linearise(ctx); !errors.As(err, &e) {
			t.Errorf("%s: linearise: %v", name, err)
		}
	}
	if _, err := (stackup.Input{Name: "a"}).Scaled(1); !stacktest.Refused(err) {
		t.Error(err)
	}
	if _, err := (stackup.Input{Name: "a"}).Shifted(1, 1); !stacktest.Refused(err) {
		t.Error(err)
	}
}

func second(s *stackup.Study, output int) error {
	_, err := s.SecondOrder(context.Background(), output)
	return err
}

func search(s *stackup.Study, i int, sign float64) error {
	bounded := *s
	bounded.Inputs = append([]stackup.Input(nil), s.Inputs...)
	bounded.Inputs[0] = stacktest.Uniform("a", -1, 1)
	_, err := bounded.Search(context.Background(), i, sign, stackup.SearchSettings{})
	return err
}

// A constant that is not zero counts in full in mean and worst case. Source: hand calculation: 1 + 2·0.3 ± 0.5.
func TestStudy_Linearise_constant(t *testing.T) {
	s := &stackup.Study{Model: stacktest.One(2, func(x []float64) float64 { return 1 + 2*x[0] + x[1] }), Inputs: []stackup.Input{stacktest.Uniform("shim", 0.3, 0.3), stacktest.Uniform("a", -0.5, 0.5)}}
	l := stacktest.Must(s.Linearise(context.Background()))
	least, greatest, ok := l.WorstScalar(s, 0)
	check.Near(t, "mean", l.Spread(s, 0, -1).Mean[0], 1.6, 1e-12)
	check.Near(t, "least", least.Value, 1.1, 1e-12)
	check.Near(t, "greatest", greatest.Value, 2.1, 1e-12)
	if !ok || l.Doubt(0) != "" {
		t.Error(l.Doubt(0))
	}
}

// ownLaw is a law of the user's.
type ownLaw struct{ law.Law }
