package align

import (
	"fmt"
	"slices"
	"strings"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// WithCandidate returns the stack with candidate n of a place in that place. The candidate answers
// to the place's name. The result has no candidates.
func (s Stack) WithCandidate(place string, n int) (Stack, error) {
	i := slices.IndexFunc(s.Parts, func(p Part) bool { return p.Name == place })
	k := slices.IndexFunc(s.Candidates, func(c Candidates) bool { return c.Place == place })
	if i < 0 || k < 0 || n < 0 || n >= len(s.Candidates[k].Parts) {
		return Stack{}, &fault.FieldError{Path: "/candidates", Value: fmt.Sprintf("%q, %d", place, n), Want: "a candidate of a part of the stack", Err: fault.ErrUnknownName}
	}
	with := s.Candidates[k].Parts[n]
	s.Candidates = nil
	return s.Clone().withPart(i, with), nil
}

// InState returns the stack in one of its states: temperatures set, bores moved. Parts and shafts
// that the state does not name stay as they are. The result has neither candidates, which the state
// does not reach, nor states: [Stack.WithCandidate] comes first.
func (s Stack) InState(name string) (Stack, error) {
	i := slices.IndexFunc(s.States, func(t State) bool { return t.Name == name })
	if i < 0 {
		return Stack{}, &fault.FieldError{Path: "/states", Value: fmt.Sprintf("%q", name), Want: "a state of the stack", Err: fault.ErrUnknownName}
	}
	state := s.States[i]
	s.Candidates, s.States = nil, nil
	out := s.Clone()
	for _, t := range state.Temperatures {
		for k := range out.Parts {
			if out.Parts[k].Name == t.Of {
				out.Parts[k].Temperature = tolerance.Given(t.Temperature)
			}
		}
		for k := range out.Shafts {
			if out.Shafts[k].Name == t.Of {
				out.Shafts[k].Temperature = tolerance.Given(t.Temperature)
			}
		}
	}
	for _, m := range state.Moves {
		for k := range out.Parts {
			if p := &out.Parts[k]; p.Name == m.Part {
				p.Moved = Vec3{p.Moved.X + m.By.X, p.Moved.Y + m.By.Y, p.Moved.Z + m.By.Z}
			}
		}
	}
	return out, nil
}

// withPart is the stack with another part in place i, under the place's name, without candidates.
func (s Stack) withPart(i int, p Part) Stack {
	s.Candidates = nil
	s.Parts = slices.Clone(s.Parts)
	p = Stack{Parts: []Part{p}}.Clone().Parts[0]
	own := p.Name
	p.Name = s.Parts[i].Name
	for _, r := range p.rounds(nil) {
		if r.sweep == nil {
			continue
		}
		if bore, is := strings.CutPrefix(r.sweep.About, own+"/"); is {
			r.sweep.About = p.Name + "/" + bore
		}
	}
	s.Parts[i] = p
	return s
}
