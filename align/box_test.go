package align_test

import (
	"example.com/borestack/align"
	. "example.com/borestack/tolerance"
)

// box is a four-part reduction box: crank carrier, case, plate, tail; an input shaft and a main shaft with a pocket bearing. All numbers are invented.
func box() align.Stack {
	spigot := func(d Length) *align.Pilot { return &align.Pilot{Diameter: d} }
	bore := func(d Length) *align.Pilot { return &align.Pilot{Kind: align.PilotBore, Diameter: d} }
	return align.Stack{
		Title: "invented reduction box",
		Parts: []align.Part{
			{
				Name: "carrier",
				Rear: &align.Face{
					Z: 20, Slope: align.Slope{X: 1e-4, Y: -5e-5}, Diameter: Given[Length](330),
					Dowels: []align.Dowel{{Name: "left", Centre: align.Vec2{X: -140, Y: 50}, Diameter: 12}, {Name: "right", Centre: align.Vec2{X: 145, Y: 30}, Diameter: 12}},
				},
				Bores: []align.Bore{{Name: "pilot", Centre: align.Vec3{Z: -20}}},
			},
			{
				Name: "case",
				Front: &align.Face{
					Diameter: Given[Length](330),
					Dowels:   []align.Dowel{{Name: "left", Centre: align.Vec2{X: -140.01, Y: 50.005}, Diameter: 12.06}, {Name: "right", Centre: align.Vec2{X: 145.005, Y: 29.99}, Diameter: 12.06}},
				},
				Rear: &align.Face{
					Z: 210, Slope: align.Slope{X: 5e-5, Y: 8e-5}, Diameter: Given[Length](215), Pilot: bore(160.04),
					Dowels: []align.Dowel{{Name: "peg", Centre: align.Vec2{X: 37, Y: 87}, Diameter: 8}},
				},
				Bores: []align.Bore{{Name: "front", Centre: align.Vec3{X: 0.01, Y: -0.008, Z: 12}}},
			},
			{
				Name: "plate",
				Front: &align.Face{
					Diameter: Given[Length](214), Pilot: spigot(160),
					Dowels: []align.Dowel{{Name: "peg", Centre: align.Vec2{X: 37.005, Y: 86.995}, Diameter: 8.03}},
				},
				Rear: &align.Face{
					Z: 14, Slope: align.Slope{X: 3e-4, Y: -1e-4}, Diameter: Given[Length](210), Pilot: spigot(130),
					Dowels: []align.Dowel{{Name: "stud", Centre: align.Vec2{X: 72, Y: -53}, Diameter: 8.02}},
				},
				Bores: []align.Bore{{Name: "bearing", Centre: align.Vec3{X: -0.005, Y: 0.006, Z: 7}}},
			},
			{
				Name: "tail",
				Front: &align.Face{
					Diameter: Given[Length](206), Pilot: bore(130.05),
					Dowels: []align.Dowel{{Name: "stud", Centre: align.Vec2{X: 72.008, Y: -53.004}, Diameter: 8}},
				},
				Bores: []align.Bore{{Name: "bush", Centre: align.Vec3{X: 0.012, Y: -0.01, Z: 248}}},
			},
		},
		Joints: []align.Joint{
			{Name: "carrier to case", Pins: []align.Pin{{Dowel: "left", Diameter: 12}, {Dowel: "right", Diameter: 12}}},
			{Engagement: Given[Length](6), Pins: []align.Pin{{Dowel: "peg", Diameter: 8}}},
			{Engagement: Given[Length](20), Pins: []align.Pin{{Dowel: "stud", Diameter: 8, Pressed: align.PressedRear}}},
		},
		Shafts: []align.Shaft{
			{Name: "input", Supports: []align.Support{{Bore: "carrier/pilot", Clearance: 0.06}, {Bore: "case/front", Clearance: 0.03}}},
			{Name: "main", Supports: []align.Support{{Bore: "plate/bearing", Clearance: 0.03}, {Bore: "tail/bush", Clearance: 0.08, Kind: align.Bush, Width: 40}}},
		},
		Pockets:    []align.Pocket{{Name: "pocket", Between: [2]string{"input", "main"}, Z: 190, Clearance: 0.03}},
		References: []align.Reference{{Name: "line", Through: [2]string{"case/front", "plate/bearing"}}},
	}
}
