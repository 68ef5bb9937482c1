package advise_test

import (
	"math"
	"math/rand/v2"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	. "example.com/borestack/tolerance"
)

// randomBox is an invented case, plate and tail with two shafts' worth of supports on one shaft, all numbers drawn. The plate has the same spigot on both sides, so that it can be turned over; its thickness is plain, measured, or read as points, by turns.
func randomBox(rng *rand.Rand) advise.Box {
	pm := func(size float64) Length { return Length((2*rng.Float64() - 1) * size) }
	slope := func(size float64) align.Slope {
		return align.Slope{X: (2*rng.Float64() - 1) * size, Y: (2*rng.Float64() - 1) * size}
	}
	hole := func(name string, x, y, d Length) align.Dowel {
		return align.Dowel{Name: name, Centre: align.Vec2{X: x + pm(0.004), Y: y + pm(0.004)}, Diameter: d}
	}
	pilot := func(kind align.PilotKind, d Length) *align.Pilot {
		return &align.Pilot{Kind: kind, Diameter: d, Centre: align.Vec2{X: pm(0.03), Y: pm(0.03)}}
	}
	carrier := align.Part{
		Name: "carrier", Bores: []align.Bore{{Name: "pilot", Centre: align.Vec3{X: pm(0.02), Y: pm(0.02), Z: -60}}},
		Rear: &align.Face{Slope: slope(2e-4), Diameter: Given[Length](320), Dowels: []align.Dowel{hole("left", -140, 50, 12), hole("right", 140, 40, 12)}},
	}
	box := align.Part{
		Name: "case", Bores: []align.Bore{{Name: "front", Centre: align.Vec3{X: pm(0.02), Y: pm(0.02), Z: 20}, Slope: slope(1e-4)}},
		Front: &align.Face{Diameter: Given[Length](320), Dowels: []align.Dowel{hole("left", -140, 50, 12.06), hole("right", 140, 40, 12.06)}},
		Rear:  &align.Face{Z: 200 + pm(1), Slope: slope(2e-4), Diameter: Given[Length](210), Pilot: pilot(align.PilotBore, 160.04), Dowels: []align.Dowel{hole("peg", 37, 87, 8)}},
	}
	plate := randomPlate(rng, "plate")
	tail := align.Part{
		Name: "tail", Bores: []align.Bore{{Name: "bush", Centre: align.Vec3{X: pm(0.05), Y: pm(0.05), Z: 240}, Slope: slope(1e-4), Diameter: Given[Length](38)}},
		Front: &align.Face{Slope: slope(1e-4), Diameter: Given[Length](205), Pilot: pilot(align.PilotBore, 160.05), Dowels: []align.Dowel{hole("peg", 37, 87, 8.06)}},
	}
	if rng.IntN(2) == 0 {
		sweep := &align.Sweep{}
		for range 8 {
			sweep.Values = append(sweep.Values, []Length{pm(0.05)})
		}
		if rng.IntN(4) == 0 {
			sweep.Uncertainty = Given[Length](0.002)
		}
		tail.Bores[0].Sweep, tail.Bores[0].Centre = sweep, align.Vec3{Z: 240}
	}
	pin := func(name string, d Length, p align.Press) align.Pin {
		return align.Pin{Dowel: name, Diameter: d, Pressed: p}
	}
	s := align.Stack{
		Parts: []align.Part{carrier, box, plate, tail},
		Joints: []align.Joint{
			{Name: "one", Lies: align.LiesRest, Pins: []align.Pin{pin("left", 12, align.PressedFront), pin("right", 12, align.PressedFront)}},
			{Name: "two", Lies: align.LiesRest, Engagement: Given[Length](20), Pins: []align.Pin{pin("peg", 8, align.PressedFront)}, Gasket: &align.Gasket{Thickness: 0.25}},
			{Name: "three", Lies: align.LiesRest, Engagement: Given[Length](30), Pins: []align.Pin{pin("peg", 8, align.PressedFront)}},
		},
		Shafts: []align.Shaft{{Name: "main", Supports: []align.Support{
			{Bore: "carrier/pilot", Clearance: 0.03}, {Bore: "case/front", Clearance: 0.02}, {Bore: "plate/bearing", Clearance: 0.02}, {Bore: "tail/bush", Clearance: 0.04},
		}}},
		References: []align.Reference{{Name: "line", Through: [2]string{"carrier/pilot", "case/front"}}},
		Chains:     []align.Chain{{Name: "play", Links: []align.Link{{Name: "plate", From: "plate/front", To: "plate/rear"}, {Name: "bearing", Length: -13.9}}}},
		Candidates: []align.Candidates{{Place: "plate", Parts: []align.Part{randomPlate(rng, "spare")}}},
	}
	if rng.IntN(4) == 0 { // slow, and needed for the slopes of bores to be felt
		p := s.Shafts[0].Supports
		p[2].Kind, p[2].Width, p[3].Kind, p[3].Width = align.Bush, 40, align.Bush, 60
	}
	return advise.Box{Stack: s, Limits: []record.Limit{
		{Output: align.Output{What: align.Margin}, Limits: AtLeast(0)},
		{Output: align.Output{What: align.TIRSize, Of: "tail/bush", From: "line"}, Limits: AtMost(0.3)},
		{Output: align.Output{What: align.ChainLength, Of: "play"}, Limits: Between(0.02, 0.4)},
	}}
}

func randomPlate(rng *rand.Rand, name string) align.Part {
	pm := func(size float64) Length { return Length((2*rng.Float64() - 1) * size) }
	spigot := func() *align.Pilot {
		return &align.Pilot{Diameter: 160, Centre: align.Vec2{X: pm(0.03), Y: pm(0.03)}}
	}
	peg := func(d Length) []align.Dowel {
		return []align.Dowel{{Name: "peg", Centre: align.Vec2{X: 37 + pm(0.004), Y: 87 + pm(0.004)}, Diameter: d}}
	}
	p := align.Part{
		Name:  name,
		Bores: []align.Bore{{Name: "bearing", Centre: align.Vec3{X: pm(0.02), Y: pm(0.02), Z: 7}}},
		Front: &align.Face{Diameter: Given[Length](208), Pilot: spigot(), Dowels: peg(8.05)},
		Rear:  &align.Face{Diameter: Given[Length](206), Pilot: spigot(), Dowels: peg(8)},
	}
	if rng.IntN(2) == 0 {
		sweep := &align.Sweep{About: name + "/bearing"}
		for range 8 {
			sweep.Values = append(sweep.Values, []Length{pm(0.03)})
		}
		p.Front.Pilot.Sweep, p.Front.Pilot.Centre = sweep, align.Vec2{}
	}
	gx, gy := 4e-4*(2*rng.Float64()-1), 4e-4*(2*rng.Float64()-1)
	switch rng.IntN(3) {
	case 0:
		p.Rear.Z, p.Rear.Slope = 14+pm(0.05), align.Slope{X: gx, Y: gy}
		p.Front.Z, p.Front.Slope = pm(0.05), align.Slope{X: gy / 3, Y: -gx / 3}
	case 1:
		t := &align.Thickness{Radius: 92}
		t.FromNose = rng.IntN(2) == 0
		t.First = Angle(rng.Float64())
		if rng.IntN(4) == 0 {
			t.Uncertainty = Given[Length](0.0015)
		}
		for k := range 8 {
			a := float64(t.First) + 2*math.Pi*float64(k)/8
			if t.FromNose {
				a = -a
			}
			t.Values = append(t.Values, []Length{14 + 92*Length(gx*math.Sin(a)+gy*math.Cos(a)) + pm(0.003)})
		}
		p.Rear.Thickness = t
	default:
		for k := range 12 {
			x, y := 95*math.Sin(float64(k)), 95*math.Cos(float64(k))
			p.Rear.Points = append(p.Rear.Points, align.Vec3{X: Length(x), Y: Length(y), Z: 14 + Length(gx*x+gy*y) + pm(0.003)})
		}
	}
	return p
}
