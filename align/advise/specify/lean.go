package specify

import (
	"fmt"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// pilotAxis is the axis of a pilot that leans in its register: its own callout moves it alone, that of its
// face moves it along, so that it stays square to that.
type pilotAxis struct {
	joint int
	face  func(*align.Stack) *align.Face
	gain  float64 // of its slope by the callout's: 1 its own, -1 its face's
}

// axisOf is the axis of the pilot of a face at a joint; nil where no lean is felt.
func axisOf(i int, rear bool, joint int, leans []bool, gain float64) *pilotAxis {
	if !leans[joint] {
		return nil
	}
	return &pilotAxis{joint, func(s *align.Stack) *align.Face { return face(&s.Parts[i], rear) }, gain}
}

// calloutsOfPilot is that of the pilot of a face whose joint feels its lean. What both allow adds to a lean, and
// over the engagement takes so much of the clearance: zones of Ø a and Ø b take a + b of the diametral one.
func calloutsOfPilot(s *align.Stack, i int, rear bool, side string, leans []bool) []Callout {
	joint, _, ok := meets(s, i, rear)
	if !ok || !leans[joint] {
		return nil
	}
	of := fmt.Sprintf("%s, %s ", s.Parts[i].Name, side)
	return []Callout{{
		Kind: Perpendicularity, Feature: of + "pilot", Datum: of + "face", Across: s.Joints[joint].Engagement.Value, axis: axisOf(i, rear, joint, leans, 1),
	}}
}

// leaning are the joints that feel a lean of their pilots: registers with an engagement, and a clearance that it takes
// of, cold and in the states of limits. Where one is squeezed any lean strains it.
func leaning(s *align.Stack, limits []record.Limit) []bool {
	leans := slices.Repeat([]bool{true}, len(s.Joints))
	for _, state := range statesOf(limits) {
		at, err := inState(*s, state)
		a, wrong := align.Stack{Parts: at.Parts, Joints: at.Joints}.Solve()
		for k := range leans {
			leans[k] = leans[k] && err == nil && wrong == nil && a.Joints[k].Pilot != nil && a.Joints[k].Pilot.LeanRoom.Value > 0
		}
	}
	return leans
}

// along adds to moves of a callout those of its pilot's axis, which becomes a number of its own in the stack.
func (p *pilotAxis) along(s *align.Stack, m [2][]align.Move) [2][]align.Move {
	f := p.face(s)
	if !f.Pilot.Slope.Given {
		f.Pilot.Slope = tolerance.Given(align.Slope{X: -f.Slope.X, Y: -f.Slope.Y})
	}
	own := moves(func(s *align.Stack) (x, y *float64) { q := &p.face(s).Pilot.Slope.Value; return &q.X, &q.Y })
	for k := range m {
		own[k][0].Gain = p.gain
		m[k] = append(slices.Clip(m[k]), own[k]...)
	}
	return m
}
