package align_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// stack3 is a case, a plate and a tail with five bores, as a user describes it: wedges, thicknesses, pilots and dowels that float, and the position and axis of every bore vary. All numbers are invented.
func stack3() (align.Stack, []align.Source, []align.Output) {
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

// BenchmarkPlan_stack3 evaluates samples drawn beforehand, by how the joints lie.
func BenchmarkPlan_stack3(b *testing.B) {
	for name, lie := range map[string]align.Lie{"rest": align.LiesRest, "uniform": align.LiesUniform} {
		b.Run(name, func(b *testing.B) {
			s, in, out := stack3()
			p, err := s.Compile(in, []align.Lie{lie, lie}, out)
			if err != nil {
				b.Fatal(err)
			}
			const n = 256
			x, y := make([][]float64, p.Inputs()), make([][]float64, p.Outputs())
			for i := range x {
				x[i] = make([]float64, n)
				stream := law.NewStream(1, fmt.Sprint(i), 0)
				if i < len(in) {
					stream.Normals(x[i])
					for k := range x[i] {
						x[i][k] *= 1e-3
						if math.Abs(x[i][k]) > 3e-3 {
							x[i][k] = 0
						}
					}
				} else {
					stream.Uniforms(x[i])
				}
			}
			for i := range y {
				y[i] = make([]float64, n)
			}
			e := p.NewEvaluator()
			b.ReportAllocs()
			for b.Loop() {
				if err := e.Evaluate(y, x, n); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/sample")
		})
	}
}

// plan makes a compiled plan the engine's model.
type plan struct{ *align.Plan }

// NewEvaluator returns an evaluator for one goroutine.
func (p plan) NewEvaluator() stackup.Evaluator { return p.Plan.NewEvaluator() }

// stack3Study is a whole study of the same stack, draws and sums included, as a user describes it: no code of its own.
func stack3Study() (*stackup.Study, error) {
	s, in, out := stack3()
	p, err := s.Compile(in, []align.Lie{align.LiesUniform, align.LiesUniform}, out)
	if err != nil {
		return nil, err
	}
	st := &stackup.Study{Model: plan{p}}
	var faults []error
	add := func(name string, l law.Law, err error) {
		faults = append(faults, err)
		st.Inputs = append(st.Inputs, stackup.Input{Name: name, Law: l})
	}
	normal := func(sd float64) law.Law {
		l, err := law.NewNormal(0, sd)
		faults = append(faults, err)
		return l
	}
	for _, src := range in {
		kind, _, _ := strings.Cut(src.Name, " ")
		switch {
		case kind == "wedge":
			l, err := law.Truncate(normal(5e-5), -15e-5, 15e-5)
			add(src.Name, l, err)
		case kind == "thickness":
			add(src.Name, normal(0.02), nil)
		case kind == "bore" || kind == "spigot":
			add(src.Name, normal(0.004), nil)
		case strings.Contains(src.Name, "axis"):
			add(src.Name, normal(1e-4), nil)
		default: // a dowel's hole, a bore's position
			add(src.Name, normal(0.005), nil)
		}
	}
	for i := range p.Drawn() {
		l, err := law.NewUniform(0, 1)
		add(fmt.Sprint("float ", i), l, err)
	}
	for o := range out {
		st.Responses = append(st.Responses, stackup.Response{Name: fmt.Sprint(o), Output: o})
	}
	return st, errors.Join(faults...)
}

func BenchmarkStudy_stack3(b *testing.B) {
	st, err := stack3Study()
	if err != nil {
		b.Fatal(err)
	}
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("workers=%d", workers), func(b *testing.B) {
			const n = 100 * stackup.BlockSize
			b.ReportAllocs()
			for b.Loop() {
				if _, err := st.Run(context.Background(), stackup.Settings{Samples: n, Seed: 1, Workers: workers}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.N)*n/b.Elapsed().Seconds(), "samples/s")
		})
	}
}
