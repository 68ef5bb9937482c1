package align_test

import (
	"fmt"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

func ExampleStack_Solve() {
	spigot, bore := &align.Pilot{Diameter: 150}, &align.Pilot{Kind: align.PilotBore, Diameter: 150}
	at := func(name string, z tolerance.Length) []align.Bore {
		return []align.Bore{{Name: name, Centre: align.Vec3{Z: z}}}
	}
	box := align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: &align.Face{Z: 180, Pilot: bore}, Bores: at("bearing", 20)},
			{Name: "plate", Front: &align.Face{Pilot: spigot}, Rear: &align.Face{Z: 14, Slope: align.Slope{X: 0.0004}, Pilot: spigot}, Bores: at("bearing", 7)},
			{Name: "tail", Front: &align.Face{Pilot: bore}, Bores: at("bush", 230)},
		},
		Joints: make([]align.Joint, 2),
		Shafts: []align.Shaft{{Name: "main", Supports: []align.Support{
			{Bore: "case/bearing", Clearance: 0.04}, {Bore: "plate/bearing", Clearance: 0.04}, {Bore: "tail/bush", Clearance: 0.1},
		}}},
	}
	a, err := box.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("runs free: %v, %v left, %s governs most\n", a.Line.RunsFree, a.Line.Margin, a.Line.Governs[0].Name)
	// Output: runs free: true, 0.0072 mm left, tail/bush governs most
}

func ExamplePlan() {
	wedge := align.Source{Name: "wedge", Moves: []align.Move{{Of: align.NumberOf(func(s *align.Stack) *float64 { return &s.Parts[2].Rear.Slope.X }), Gain: 1}}}
	lies := []align.Lie{align.LiesRest, align.LiesRest, align.LiesRest}
	plan, err := box().Compile([]align.Source{wedge}, lies, []align.Output{{What: align.TIRSize, Of: "tail/bush"}})
	if err != nil {
		fmt.Println(err)
		return
	}
	tir := [][]float64{make([]float64, 3)}
	if err := plan.NewEvaluator().Evaluate(tir, [][]float64{{-1e-4, 0, 1e-4}}, 3); err != nil {
		fmt.Println(err)
	}
	fmt.Printf("%.3f %.3f %.3f mm\n", tir[0][0], tir[0][1], tir[0][2])
	// Output: 0.077 0.117 0.162 mm
}
