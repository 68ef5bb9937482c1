package study_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/stackup/quasi"
	"example.com/borestack/tolerance"
)

// twoBores is a bed with two bores on a shaft: its margin is the room of the second.
func twoBores() align.Stack {
	return align.Stack{
		Parts:      []align.Part{{Name: "bed", Bores: []align.Bore{{Name: "a"}, {Name: "b", Centre: align.Vec3{Z: 100}}}}},
		References: []align.Reference{{Name: "axis", Axis: "bed/a"}},
	}
}

func centreOf(x bool) align.Number {
	if x {
		return align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[0].Bores[1].Centre.X })
	}
	return align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[0].Bores[1].Centre.Y })
}

// Laws find their sources by name, whatever their order; a plane takes both sources of its name.
func TestOf_pairsByName(t *testing.T) {
	source := func(name string, x bool) align.Source {
		return align.Source{Name: name, Moves: []align.Move{{Of: centreOf(x), Gain: 1}}}
	}
	compile := func(sources ...align.Source) *align.Plan {
		p, err := twoBores().Compile(sources, nil, []align.Output{{What: align.OffsetX, Of: "bed/b"}, {What: align.OffsetY, Of: "bed/b"}})
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	at := func(mean float64) law.Law { return must(law.NewUniform(mean, mean)) }
	check := func(st *stackup.Study, err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		// Source: hand calculation: constant laws move the centre to (3, 5).
		run := must(st.Run(t.Context(), stackup.Settings{Samples: 10, Seed: 1}))
		if x, y := run.Summary(0).Mean, run.Summary(1).Mean; x != 3 || y != 5 {
			t.Errorf("the centre is at (%v, %v), want (3, 5)", x, y)
		}
	}
	check(study.Of(compile(source("x", true), source("y", false)), []stackup.Input{{Name: "y", Law: at(5)}, {Name: "x", Law: at(3)}}))
	check(study.Of(compile(source("c", true), source("c", false)), []stackup.Input{{Name: "c", Joint: law.Independent{at(3), at(5)}}}))

	two := compile(source("x", true), source("y", false))
	for name, c := range map[string]struct {
		p    *align.Plan
		laws []stackup.Input
		want error
		at   string
	}{
		"no law":          {two, []stackup.Input{{Name: "x", Law: at(0)}}, fault.ErrMissing, "/sources/1"},
		"misspelt":        {two, []stackup.Input{{Name: "x", Law: at(0)}, {Name: "yy", Law: at(0)}}, fault.ErrUnknownName, "/laws/1"},
		"law twice":       {two, []stackup.Input{{Name: "x", Law: at(0)}, {Name: "y", Law: at(0)}, {Name: "x", Law: at(1)}}, fault.ErrRepeated, "/laws/2"},
		"plane for one":   {two, []stackup.Input{{Name: "x", Law: at(0)}, {Name: "y", Joint: law.Independent{at(3), at(5)}}}, fault.ErrConflict, "/sources/1"},
		"law for a pair":  {compile(source("c", true), source("c", false)), []stackup.Input{{Name: "c", Law: at(0)}}, fault.ErrConflict, "/sources/0"},
		"one name, apart": {compile(source("c", true), source("y", true), source("c", false)), []stackup.Input{{Name: "c", Law: at(0)}, {Name: "y", Law: at(0)}}, fault.ErrRepeated, "/sources/2"},
	} {
		st, err := study.Of(c.p, c.laws)
		if st != nil || !errors.Is(err, c.want) || !strings.Contains(err.Error(), c.at+":") {
			t.Errorf("%s: %v, want %v at %s", name, err, c.want, c.at)
		}
	}
}

// A box that does not assemble is not good, whatever its numbers.
func TestOf_unlessItAssembles(t *testing.T) {
	p, err := twoBores().Compile(nil, nil, []align.Output{{What: align.OffsetX, Of: "bed/b"}, {What: align.Assembles}})
	if err != nil {
		t.Fatal(err)
	}
	st, err := study.Of(p, nil, stackup.Response{Name: "x"}, stackup.Response{Name: "own", Unless: 1})
	if err != nil || st.Responses[0].Unless != 2 || st.Responses[1].Unless != 1 {
		t.Errorf("%+v, %v", st.Responses, err)
	}
}

// A drawn float is one input of three numbers: drawn at random by a seed, and followed by
// quasi-Monte Carlo points, it lies by the same law.
//
// Source: hand calculation: uniform in a disc of radius r, a variance of r²/4 along x; its size has
// the mean 2r/3.
func TestOf_drawnFloat(t *testing.T) {
	const r = 0.025
	s := align.Stack{
		Parts: []align.Part{
			{Name: "bed", Rear: &align.Face{Z: 50, Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 100 + 2*r}}, Bores: []align.Bore{{Name: "a"}}},
			{Name: "plate", Front: &align.Face{Pilot: &align.Pilot{Kind: align.Spigot, Diameter: 100}}, Bores: []align.Bore{{Name: "b", Centre: align.Vec3{Z: 20}}}},
		},
		Joints:     make([]align.Joint, 1),
		References: []align.Reference{{Name: "axis", Axis: "bed/a"}},
	}
	p := must(s.Compile(nil, []align.Lie{align.LiesUniform}, []align.Output{{What: align.OffsetX, Of: "plate/b"}, {What: align.OffsetSize, Of: "plate/b"}}))
	st := must(study.Of(p, nil))
	if len(st.Inputs) != 1 || st.Inputs[0].Columns() != align.FloatColumns {
		t.Fatalf("%+v", st.Inputs)
	}
	run := must(st.Run(t.Context(), stackup.Settings{Samples: 40000, Seed: 1}))
	even := must(quasi.Run(t.Context(), st, quasi.Settings{Settings: stackup.Settings{Samples: 16384, Seed: 1}}))
	for name, got := range map[string][3]float64{
		"at random": {run.Summary(0).Mean, run.Summary(0).SD, run.Summary(1).Mean},
		"evenly":    {even.Mean(0).Value, even.SD(0).Value, even.Mean(1).Value},
	} {
		// The standard errors of 40,000 samples are r/400, r/500 and r/800 or so.
		if math.Abs(got[0]) > r/80 || math.Abs(got[1]-r/2) > r/100 || math.Abs(got[2]-2*r/3) > r/150 {
			t.Errorf("%s: mean %v, sd %v, mean size %v", name, got[0], got[1], got[2])
		}
	}
	if e := even.Mean(1).Error; e > r/4000 { // at random as many samples are off by r/540
		t.Errorf("quasi-Monte Carlo points are not followed: error %v", e)
	}
}
