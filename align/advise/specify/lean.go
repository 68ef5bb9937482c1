package specify

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// pilotAxis is the axis of a pilot that leans in its register: its own callout moves it alone, that of its
// face moves it along, so that it stays square to that.
type pilotAxis struct {
	joint int
	room  float64 // lean, a slope, that both pilots of the joint may have together before the register is strained
	face  func(*align.Stack) *align.Face
	gain  float64 // of its slope by the callout's: 1 its own, -1 its face's
}

// axisOf is the axis of the pilot of a face at a joint; nil where no lean is felt.
func axisOf(i int, rear bool, joint int, rooms []float64, gain float64) *pilotAxis {
	if rooms[joint] == 0 {
		return nil
	}
	return &pilotAxis{joint, rooms[joint], func(s *align.Stack) *align.Face { return face(&s.Parts[i], rear) }, gain}
}

// calloutsOfPilot is that of the pilot of a face whose joint feels its lean. What both allow adds to a lean, and
// over the engagement takes so much of the clearance: zones of Ø a and Ø b take a + b of the diametral one.
func calloutsOfPilot(s *align.Stack, i int, rear bool, side string, rooms []float64) []Callout {
	joint, _, ok := meets(s, i, rear)
	if !ok || rooms[joint] == 0 {
		return nil
	}
	of := fmt.Sprintf("%s, %s ", s.Parts[i].Name, side)
	return []Callout{{
		Kind: Perpendicularity, Feature: of + "pilot", Datum: of + "face", Across: s.Joints[joint].Engagement.Value, axis: axisOf(i, rear, joint, rooms, 1),
	}}
}

// leanRooms are, joint by joint, the lean that its pilots may have together, cold and in the states of limits: the
// clearance over the engagement. 0: none is felt, without an engagement, or any strains the register, where it
// is squeezed.
func leanRooms(s *align.Stack, limits []record.Limit) []float64 {
	rooms := slices.Repeat([]float64{math.Inf(1)}, len(s.Joints))
	for _, state := range statesOf(limits) {
		at, err := inState(*s, state)
		a, wrong := align.Stack{Parts: at.Parts, Joints: at.Joints}.Solve()
		for k := range rooms {
			if err != nil || wrong != nil || a.Joints[k].Pilot == nil {
				rooms[k] = 0
				continue
			}
			p := a.Joints[k].Pilot
			rooms[k] = min(rooms[k], max(0, p.LeanRoom.Value-p.Lean.Size()))
		}
	}
	return rooms
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

// unstrained are zones no wider than any register holds unstrained: past that what is left is not convex.
func (s *search) unstrained(zone []float64) []float64 {
	lean := make([]float64, len(s.Stack.Joints))
	own := func(k int) *pilotAxis {
		if p := s.Callouts[k].axis; p != nil && p.gain > 0 {
			return p
		}
		return nil
	}
	for k, z := range zone {
		if p := own(k); p != nil {
			lean[p.joint] += s.Callouts[k].radius(z)
		}
	}
	out := slices.Clone(zone)
	for k := range out {
		if p := own(k); p != nil {
			out[k] *= min(1, p.room/lean[p.joint])
		}
	}
	return out
}
