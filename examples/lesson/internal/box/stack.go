package box

import (
	"math"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// Names of parts, bores and joints.
const (
	FrontBearing = "case/front bearing"
	MainBearing  = "plate/main bearing"
	TailBush     = "tail/tail bush"
	PlateJoint   = "case to plate"
	inputLine    = "input line"
)

// Places on the box, in millimetres.
const (
	caseDepth   = 180
	plateThick  = 14
	bushBehind  = 230 // the tail bush behind the tail's front face
	register    = 160 // diameter
	faceRadius  = 100 // of the stations of a bowed face
	pinCentreX  = 37
	pinCentreY  = 87.5
	pinDiameter = 8.0
	pinRoom     = 0.008 // diametral, of a pin in the plate's hole
)

// How the measured case is out: the slope of its rear face, and its register's centre, rounded from the demonstration record.
const (
	measuredRearX, measuredRearY         = 4e-5, -3e-5
	measuredRegisterX, measuredRegisterY = 0.026, -0.011
)

// Stack is the box that the knobs make. The joint of case and plate may lie anywhere in its float; the others rest.
func (k Knobs) Stack() align.Stack {
	mm := func(x, y float64) align.Vec2 {
		return align.Vec2{X: tolerance.Length(x), Y: tolerance.Length(y)}
	}
	bore := func(name string, z, diameter tolerance.Length) []align.Bore {
		return []align.Bore{{Name: name, Centre: align.Vec3{Z: z}, Diameter: tolerance.Given(diameter)}}
	}
	aluminium, _ := tolerance.MaterialNamed("cast aluminium") // a row of the library's own table
	steel, _ := tolerance.MaterialNamed("alloy steel")

	ox, oy := toward(float64(k.Offset), k.OffsetClock)
	wx, wy := toward(float64(k.Wedge/Across), k.WedgeClock)
	caseRear := &align.Face{Z: caseDepth, Diameter: tolerance.Given[tolerance.Length](210), Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: register}}
	plateFront := &align.Face{Diameter: tolerance.Given[tolerance.Length](206), Pilot: &align.Pilot{Centre: mm(-ox, -oy), Diameter: register - k.Pilot.Length()}}
	plateRear := &align.Face{Z: plateThick, Slope: align.Slope{X: wx, Y: wy}, Diameter: tolerance.Given(Across), Pilot: &align.Pilot{Diameter: 130}}
	if k.Measured {
		caseRear.Slope = align.Slope{X: measuredRearX, Y: measuredRearY}
		caseRear.Pilot.Centre = mm(measuredRegisterX, measuredRegisterY)
	}
	joint := align.Joint{Name: PlateJoint, Engagement: tolerance.Given[tolerance.Length](6), Clock: k.Turn}
	for i, name := range []string{"peg", "second peg"}[:k.Dowels] {
		x, y := pinCentreX-2*pinCentreX*float64(i), pinCentreY-2*pinCentreY*float64(i)
		hx, hy := turned(x, y, k.Turn)
		caseRear.Dowels = append(caseRear.Dowels, align.Dowel{Name: name, Centre: mm(float64(caseRear.Pilot.Centre.X)+x, float64(caseRear.Pilot.Centre.Y)+y), Diameter: pinDiameter})
		plateFront.Dowels = append(plateFront.Dowels, align.Dowel{Name: name, Centre: mm(hx-ox, hy-oy), Diameter: pinDiameter + pinRoom})
		joint.Pins = append(joint.Pins, align.Pin{Dowel: name, Diameter: pinDiameter})
	}
	if k.Bow > 0 {
		joint.SeatOnPoints = true
		caseRear.Points, plateFront.Points = k.stations(caseRear.Slope)
		caseRear.Z, caseRear.Slope = 0, align.Slope{}
	}
	return align.Stack{
		Title: "Two-speed reduction box of a harbour launch (invented)",
		Parts: []align.Part{
			{Name: "crank carrier", Material: tolerance.Given(aluminium), Temperature: tolerance.Given(k.Case), Rear: &align.Face{Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 300.02}}, Bores: bore("pilot bush", -160, 25.07)},
			{Name: "case", Material: tolerance.Given(aluminium), Temperature: tolerance.Given(k.Case), Front: &align.Face{Pilot: &align.Pilot{Diameter: 300}}, Rear: caseRear, Bores: bore("front bearing", 20, 62)},
			{Name: "plate", Material: tolerance.Given(aluminium), Front: plateFront, Rear: plateRear, Bores: bore("main bearing", plateThick/2, 72)},
			{Name: "tail", Material: tolerance.Given(aluminium), Front: &align.Face{Diameter: tolerance.Given(Across), Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 130.02}}, Bores: bore("tail bush", bushBehind, 38.1)},
		},
		Joints: []align.Joint{
			{Name: "carrier to case", Lies: align.LiesRest},
			joint,
			{Name: "plate to tail", Lies: align.LiesRest, Engagement: tolerance.Given[tolerance.Length](8), Clock: -k.Turn},
		},
		Shafts: []align.Shaft{
			{Name: "input", Material: tolerance.Given(steel), Supports: []align.Support{
				{Bore: "crank carrier/pilot bush", Clearance: 0.07, Journal: tolerance.Given[tolerance.Length](25)},
				{Bore: FrontBearing, Clearance: 0.03, Journal: tolerance.Given[tolerance.Length](35)},
			}},
			{Name: "main", Material: tolerance.Given(steel), Supports: []align.Support{
				{Bore: MainBearing, Clearance: 0.03, Journal: tolerance.Given[tolerance.Length](40)},
				{Bore: TailBush, Clearance: 0.1, Journal: tolerance.Given[tolerance.Length](38)}, // short: it meets the shaft at one circle
			}},
		},
		Pockets:    []align.Pocket{{Name: "pocket needles", Between: [2]string{"main", "input"}, Z: 55, Clearance: 0.04}},
		References: []align.Reference{{Name: inputLine, Through: [2]string{"crank carrier/pilot bush", FrontBearing}}},
	}
}

// turned carries a place in the case's axes to the plate's, which is turned clockwise.
func turned(x, y float64, turn tolerance.Angle) (float64, float64) {
	s, c := math.Sincos(turn.Radians())
	return c*x - s*y, s*x + c*y
}

// stations are the heights of the case's rear face and of the bowed front face of the plate: it stands on its sides at 3 and 9 o'clock of the plate and is hollow along its 12-to-6 line.
func (k Knobs) stations(rear align.Slope) (caseRear, plateFront []align.Vec3) {
	for i := range 16 {
		x, y := toward(faceRadius, tolerance.Angle(i)*tolerance.Degree*22.5)
		at := func(x, y, z float64) align.Vec3 {
			return align.Vec3{X: tolerance.Length(x), Y: tolerance.Length(y), Z: tolerance.Length(z)}
		}
		caseRear = append(caseRear, at(x, y, caseDepth+rear.X*x+rear.Y*y))
		// the same station of the case, in the plate's axes
		px, py := turned(x, y, k.Turn)
		plateFront = append(plateFront, at(px, py, -float64(k.Bow)*px*px/faceRadius/faceRadius))
	}
	return caseRear, plateFront
}
