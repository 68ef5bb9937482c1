package align_test

import (
	"errors"
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	. "example.com/borestack/tolerance"
)

// carriedByPockets is the pair with a shaft before the main one that runs in its ends alone.
func carriedByPockets() align.Stack {
	s := pair(150.06, 150)
	s.References, s.Joints[0].Lies = nil, align.LiesRest
	s.Shafts = append([]align.Shaft{{Name: "inner"}}, s.Shafts...)
	for k, name := range []string{"front", "rear"} {
		s.Pockets = append(s.Pockets, align.Pocket{Name: name, Between: [2]string{"inner", "main"}, Z: Length(10 + 90*k), Clearance: 0.1})
	}
	return s
}

// A shaft that no bore carries gives no line to measure from; the first that bores carry does.
func TestStack_Solve_firstShaftInPockets(t *testing.T) {
	s := carriedByPockets()
	with := carriedByPockets()
	with.References = []align.Reference{{Name: "line", Through: [2]string{s.Shafts[1].Supports[0].Bore, s.Shafts[1].Supports[1].Bore}}}
	got, want := solve(t, s), solve(t, with)
	// Source: a second way to say it: the line through those two bores, stated
	if got.Reference != want.Reference || got.Supports[2].Offset != want.Supports[2].Offset {
		t.Errorf("from %+v, %+v; want %+v, %+v", got.Reference, got.Supports[2].Offset, want.Reference, want.Supports[2].Offset)
	}
	said := ""
	for _, n := range got.Assumed {
		if n.Kind == align.NoteDefaultReference {
			said = n.Of
		}
	}
	if said != "main" {
		t.Errorf("offsets are said to be from %q, want from main", said)
	}
	p, err := s.Compile(nil, nil, []align.Output{{What: align.OffsetX, Of: "tail/bush"}})
	if err != nil {
		t.Fatal(err)
	}
	out := [][]float64{{0}}
	if err := p.NewEvaluator().Evaluate(out, nil, 1); err != nil || math.Abs(out[0][0]-float64(want.Supports[2].Offset.X)) > 1e-12 {
		t.Errorf("%v, %v", out, err)
	}
}

// A line through bores that lie side by side has no direction.
func TestStack_Validate_referenceSideBySide(t *testing.T) {
	s := pair(150.06, 150)
	s.Parts[0].Bores = append(s.Parts[0].Bores, align.Bore{Name: "side", Centre: align.Vec3{X: 80}}, align.Bore{Name: "below", Centre: align.Vec3{Y: -80}})
	for name, c := range map[string]struct {
		ref align.Reference
		at  string // empty: right
	}{
		"through, side by side":       {align.Reference{Through: [2]string{"case/front", "case/side"}}, "/references/0/through"},
		"through, one behind another": {align.Reference{Through: [2]string{"case/rear", "case/side"}}, ""},
		"through, in two parts":       {align.Reference{Through: [2]string{"tail/bush", "case/side"}}, ""},
		"best, side by side":          {align.Reference{Best: []string{"case/front", "case/side", "case/below"}}, "/references/0/best"},
		"best, one behind":            {align.Reference{Best: []string{"case/front", "case/side", "case/rear"}}, ""},
	} {
		c.ref.Name = "line"
		s.References = []align.Reference{c.ref}
		err := s.Validate()
		var f *fault.FieldError
		if c.at == "" && err != nil || c.at != "" && (!errors.Is(err, fault.ErrConflict) || !errors.As(err, &f) || f.Path != c.at) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Shafts that no bore carries at all have no reference, and nothing asks for one.
func TestStack_Solve_noSupports(t *testing.T) {
	s := carriedByPockets()
	s.Shafts[1].Supports = nil
	a := solve(t, s)
	if len(a.Supports) != 0 || a.Reference != (align.StraightShaft{}) || a.Line == nil || math.Abs(float64(a.Line.Margin)-0.05) > 1e-12 {
		t.Errorf("%+v, from %+v", a.Line, a.Reference) // Source: hand calculation: half of the pockets' clearance is left
	}
	if _, err := s.Compile(nil, nil, []align.Output{{What: align.OffsetSize, Of: "tail/bush"}}); err == nil {
		t.Error("an offset from no reference is worked out")
	}
}

// A joint that the stack does not have is an error, not a panic.
func TestStack_FloatSpread_noSuchJoint(t *testing.T) {
	s := pair(150.06, 150)
	for _, i := range []int{-1, 1} {
		if _, err := s.FloatSpread(i, align.LiesUniform); !errors.Is(err, fault.ErrUnknownName) {
			t.Errorf("joint %d: %v", i, err)
		}
	}
}
