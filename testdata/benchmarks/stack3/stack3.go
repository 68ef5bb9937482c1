// Package stack3 is the stack that the benchmarks compare with programs written by hand: a case, a
// plate and a tail with five bores, as a user of the library describes it. All numbers are invented.
package stack3

import (
	"errors"
	"fmt"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// Stack is the box, what varies of it and what is asked: wedges, thicknesses, pilots and dowels that
// float, and the position and axis of every bore vary.
func Stack() (align.Stack, []align.Source, []align.Output) {
	s := box()
	var in []align.Source
	add := func(name string, of align.Number) {
		in = append(in, align.Source{Name: name, Moves: []align.Move{{Of: of, Gain: 1}}})
	}
	for p := range 3 {
		add(fmt.Sprint("wedge x ", p), align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[p].Rear.Slope.X }))
		add(fmt.Sprint("wedge y ", p), align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[p].Rear.Slope.Y }))
		add(fmt.Sprint("thickness ", p), align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[p].Rear.Z }))
	}
	for j := range 2 {
		add(fmt.Sprint("bore ", j), align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[j].Rear.Pilot.Diameter }))
		add(fmt.Sprint("spigot ", j), align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[j+1].Front.Pilot.Diameter }))
		add(fmt.Sprint("dowel ", j), align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[j+1].Front.Dowels[0].Diameter }))
	}
	for p, part := range s.Parts {
		for b := range part.Bores {
			name := part.Bores[b].Name
			add(name+" x", align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[p].Bores[b].Centre.X }))
			add(name+" y", align.NumberOf(func(s *align.Stack) *tolerance.Length { return &s.Parts[p].Bores[b].Centre.Y }))
			add(name+" axis x", align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[p].Bores[b].Slope.X }))
			add(name+" axis y", align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[p].Bores[b].Slope.Y }))
		}
	}
	var out []align.Output
	for _, b := range []string{"case/g2", "plate/g3", "tail/g4"} {
		out = append(out, align.Output{What: align.OffsetSize, Of: b})
	}
	for _, b := range []string{"case/g0", "tail/g1", "case/g2", "plate/g3", "tail/g4"} {
		out = append(out, align.Output{What: align.TiltSize, Of: b})
	}
	return s, in, append(out, align.Output{What: align.ChainLength, Of: "length"},
		align.Output{What: align.OffsetX, Of: "tail/g4"}, align.Output{What: align.OffsetY, Of: "tail/g4"})
}

// box is the stack as drawn.
func box() align.Stack {
	face := func(kind align.PilotKind, d tolerance.Length) *align.Face {
		return &align.Face{Pilot: &align.Pilot{Kind: kind, Diameter: d}, Dowels: []align.Dowel{{Name: "d", Centre: align.Vec2{X: 70}, Diameter: 8}}}
	}
	bore := func(name string, z tolerance.Length) align.Bore {
		return align.Bore{Name: name, Centre: align.Vec3{Z: z}}
	}
	s := align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: face(align.PilotBore, 120.012), Bores: []align.Bore{bore("g0", 15), bore("g2", 95)}},
			{Name: "plate", Front: face(align.Spigot, 120), Rear: face(align.PilotBore, 120.012), Bores: []align.Bore{bore("g3", 12)}},
			{Name: "tail", Front: face(align.Spigot, 120), Rear: &align.Face{Z: 90}, Bores: []align.Bore{bore("g4", 30), bore("g1", 82)}},
		},
		Joints:     []align.Joint{{Pins: []align.Pin{{Dowel: "d", Diameter: 8}}}, {Pins: []align.Pin{{Dowel: "d", Diameter: 8}}}},
		References: []align.Reference{{Name: "line", Through: [2]string{"case/g0", "tail/g1"}}},
		Chains:     []align.Chain{{Name: "length", Links: []align.Link{{Name: "all", From: "case/rear", To: "tail/rear"}}}},
	}
	s.Parts[0].Rear.Z, s.Parts[1].Rear.Z = 120, 25
	s.Parts[1].Front.Dowels[0].Diameter, s.Parts[2].Front.Dowels[0].Diameter = 8.012, 8.012
	return s
}

// Study is a whole study of the stack, draws and sums included: no code of its own.
func Study() (*stackup.Study, error) {
	s, sources, out := Stack()
	p, err := s.Compile(sources, []align.Lie{align.LiesUniform, align.LiesUniform}, out)
	if err != nil {
		return nil, err
	}
	var laws []stackup.Input
	var faults []error
	for _, src := range sources {
		l, err := distribution(src.Name)
		faults = append(faults, err)
		laws = append(laws, stackup.Input{Name: src.Name, Law: l})
	}
	if err := errors.Join(faults...); err != nil {
		return nil, err
	}
	return study.Of(p, laws)
}

// distribution is that of a source: normal, and a wedge's slopes are cut at three standard deviations.
func distribution(source string) (law.Law, error) {
	kind, _, _ := strings.Cut(source, " ")
	sd := 0.005 // a dowel's hole, a bore's position
	switch {
	case kind == "wedge":
		sd = 5e-5
	case kind == "thickness":
		sd = 0.02
	case kind == "bore" || kind == "spigot":
		sd = 0.004
	case strings.Contains(source, "axis"):
		sd = 1e-4
	}
	l, err := law.NewNormal(0, sd)
	if err != nil || kind != "wedge" {
		return l, err
	}
	return law.Truncate(l, -3*sd, 3*sd)
}
