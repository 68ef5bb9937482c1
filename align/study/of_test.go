package study_test

import (
	"errors"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
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
	check(study.Of(compile(source("c", true), source("c", false)), []stackup.Input{{Name: "c", Plane: law.Pair{X: at(3), Y: at(5)}}}))

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
		"plane for one":   {two, []stackup.Input{{Name: "x", Law: at(0)}, {Name: "y", Plane: law.Pair{X: at(3), Y: at(5)}}}, fault.ErrConflict, "/sources/1"},
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
