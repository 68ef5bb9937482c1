package align_test

import (
	"fmt"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// A plate 0.0004 thicker to the right for every millimetre across leans the tail bush 0.092 mm to the left, 230 mm behind it. Straight shafts still have room.
//
// Source: hand calculation: supports at 20, 187 and 424 mm weigh 237 : 404 : 167; margin = (237·0.02 + 404·0.02 + 167·0.05 - 167·0.092)/(237 + 404 + 167) = 0.0072 mm.
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
