package align_test

import (
	"math"
	"testing"

	"example.com/borestack/internal/check"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align"
	. "example.com/borestack/tolerance"
)

// pair is a case and a tail on one pilot, a shaft in two bores of the case and one of the tail. Invented.
func pair(boreD, spigotD Length) align.Stack {
	return align.Stack{
		Parts: []align.Part{
			{
				Name:  "case",
				Rear:  &align.Face{Z: 100, Diameter: Given[Length](200), Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: boreD}},
				Bores: []align.Bore{{Name: "front"}, {Name: "rear", Centre: align.Vec3{Z: 100}}},
			},
			{
				Name:  "tail",
				Front: &align.Face{Diameter: Given[Length](190), Pilot: &align.Pilot{Diameter: spigotD}},
				Bores: []align.Bore{{Name: "bush", Centre: align.Vec3{Z: 100}}},
			},
		},
		Joints:     make([]align.Joint, 1),
		References: []align.Reference{{Name: "line", Through: [2]string{"case/front", "case/rear"}}},
		Shafts: []align.Shaft{{Name: "main", Supports: []align.Support{
			{Bore: "case/front", Clearance: 0.1}, {Bore: "case/rear", Clearance: 0.1}, {Bore: "tail/bush", Clearance: 0.1},
		}}},
	}
}

// A part that hangs on its pilot falls by half its clearance; over the float it reaches as far every way.
//
// Source: hand calculation: c/2; use |w·p| / Σ|w| r with w = 1, -2, 1.
func TestJoint_hangAndAny(t *testing.T) {
	s := pair(150.06, 150)
	s.Joints[0].Lies = align.LiesHang
	a := solve(t, s)
	check.Near(t, "fall", float64(a.Joints[0].Float.Y), -0.03, 1e-9)
	check.Near(t, "use", a.Line.Use.Value, 0.03/(4*0.05), 1e-9)
	if a.Line.OverFloat != nil {
		t.Error("a hanging joint does not float")
	}
	s.Joints[0].Lies = align.LiesAny
	a = solve(t, s)
	check.Near(t, "best use", a.Line.OverFloat.BestUse.Value, 0, 1e-9)
	check.Near(t, "worst use", a.Line.OverFloat.WorstUse.Value, 0.03/(4*0.05), 1e-9)
	check.Near(t, "worst margin", float64(a.Line.OverFloat.WorstMargin), 0.05-0.03/4, 1e-9)
	r, err := rangeOf(a, align.Output{What: align.TIRSize, Of: "tail/bush"})
	if err != nil {
		t.Fatal(err)
	}
	check.Near(t, "greatest TIR", r.High.Value, 0.06, 1e-9)
	check.Near(t, "least TIR", r.Low.Value, 0, 1e-9)
	s.Joints[0].Float = &align.Float{X: 0.02, Turn: 0.001}
	a = solve(t, s)
	check.Near(t, "measured", float64(a.Supports[2].Offset.X), 0.02, 1e-9)
	if a.Line.OverFloat != nil {
		t.Error("a measured float floats")
	}
}

// A part whose pilot leans rests with the lean shared by both mouths of the register: a spigot reaches forward from its face, into the case, and a bore rearward over the case's spigot, so that the two shift opposite ways. Both do so in a plan.
//
// Source: hand calculation. A lean of 1e-3 over 20 mm parts the mouths by 0.02: half of it at each.
func TestRegister_leanIsShared(t *testing.T) {
	for _, c := range []struct {
		kind  align.PilotKind
		shift float64
	}{{align.Spigot, 0.01}, {align.PilotBore, -0.01}} {
		s := pair(150.05, 150)
		front, rear := s.Parts[0].Rear.Pilot, s.Parts[1].Front.Pilot
		if c.kind == align.PilotBore {
			front.Kind, front.Diameter, rear.Diameter = align.Spigot, 150, 150.05
		}
		rear.Kind, rear.Slope = c.kind, Given(align.Slope{X: 1e-3})
		s.Joints[0] = align.Joint{Engagement: Given[Length](20), Lies: align.LiesRest}
		check.Near(t, "shift", float64(solve(t, s).Joints[0].Float.X), c.shift, 1e-9)
		p, err := s.Compile(nil, nil, []align.Output{{What: align.OffsetX, Of: "tail/bush"}})
		if err != nil {
			t.Fatal(err)
		}
		y := [][]float64{{0}}
		if err := p.NewEvaluator().Evaluate(y, nil, 1); err != nil {
			t.Fatal(err)
		}
		check.Near(t, "shift in a plan", y[0][0], c.shift, 1e-9)
	}
}

// A ring spans two bores with the sum of both clearances; a squeezed one with none.
//
// Source: hand calculation: max(bore - D, 0) on each side.
func TestJoint_registerRing(t *testing.T) {
	s := pair(150.03, 150.01)
	s.Parts[1].Front.Pilot.Kind = align.PilotBore
	s.Joints[0].RegisterRing = Given[Length](150)
	check.Near(t, "ring", float64(solve(t, s).Joints[0].Pilot.Clearance), 0.04, 1e-9)
	s.Joints[0].RegisterRing = Given[Length](150.02)
	check.Near(t, "ring tight in one", float64(solve(t, s).Joints[0].Pilot.Clearance), 0.01, 1e-9)
}

// Four bolts in holes on a circle of radius R hold the part to half their clearance, and its turn to that over R.
//
// Source: hand calculation: |f + γ J R| ≤ c/2 at every bolt.
func TestJoint_boltsInHoles(t *testing.T) {
	s := pair(150, 150)
	s.Parts[0].Rear.Pilot, s.Parts[1].Front.Pilot = nil, nil
	s.Joints[0].Bolts = []align.Vec2{{X: 90}, {X: -90}, {Y: 90}, {Y: -90}}
	s.Joints[0].BoltClearance = Given[Diametral](0.4)
	a := solve(t, s)
	j := a.Joints[0]
	check.Near(t, "reach", float64(j.ReachX[1]), 0.2, 1e-8)
	check.Near(t, "turn", float64(j.TurnRange.Value[1]), 0.2/90, 1e-9)
	check.Near(t, "worst use", a.Line.OverFloat.WorstUse.Value, 0.2/(4*0.05), 1e-6)
}

// A plate turned end for end keeps its wedge's thickness and mirrors it left to right.
//
// Source: hand calculation: (x, y, z) to (-x, y, -z).
func TestPart_turned(t *testing.T) {
	s := align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: &align.Face{}, Bores: []align.Bore{{Name: "a", Centre: align.Vec3{Z: -50}}, {Name: "b"}}},
			{Name: "plate", Front: &align.Face{}, Rear: &align.Face{Z: 12, Slope: align.Slope{X: 0.001, Y: 0.002}}, Bores: []align.Bore{{Name: "c", Centre: align.Vec3{X: 1, Y: 2, Z: 5}}}},
			{Name: "tail", Front: &align.Face{}, Bores: []align.Bore{{Name: "d", Centre: align.Vec3{Z: 100}}}},
		},
		Joints:     []align.Joint{{}, {}},
		References: []align.Reference{{Name: "l", Through: [2]string{"case/a", "case/b"}}},
	}
	for i := range 2 {
		s.Joints[i].BoltClearance = Given[Diametral](0)
		s.Joints[i].Bolts = []align.Vec2{{X: 50}, {X: -50}}
	}
	out := func(s align.Stack) (x, y float64) {
		a := solve(t, s)
		p := a.Placed[2].BaseFromPart.Matrix()
		return p[0][2], p[1][2]
	}
	x, y := out(s)
	check.Near(t, "lean x", x, -0.001, 1e-8)
	check.Near(t, "lean y", y, -0.002, 1e-8)
	s.Parts[1].Turned = true
	x, y = out(s)
	check.Near(t, "turned lean x", x, 0.001, 1e-8)
	check.Near(t, "turned lean y", y, -0.002, 1e-8)
	a := solve(t, s)
	check.Near(t, "thickness", float64(a.Parts[0].Thickness), 12, 1e-9)
	check.Near(t, "wedge x", a.Parts[0].Wedge.X, -0.001, 1e-12)
	r, err := rangeOf(a, align.Output{What: align.OffsetSize, Of: "plate/c"})
	if err != nil {
		t.Fatal(err)
	}
	check.Near(t, "its bore keeps its distance from the axis", r.Rest.Value, math.Sqrt(5), 0.03)
}

// Heating: alike and of one material, no angle changes; a cast-aluminium case loosens a steel plate's pilot.
//
// Source: hand calculation: D (α_case - α_plate) ΔT; D α ΔT for the running clearance.
func TestStack_InState_heat(t *testing.T) {
	s := pair(150.02, 150)
	al, steel := Given(Material{Expansion: 21.5e-6}), Given(Material{Expansion: 11.5e-6})
	s.Parts[0].Material, s.Parts[1].Material = al, steel
	s.Shafts[0].Material = steel
	s.Shafts[0].Supports[1].Journal = Given[Length](40)
	s.States = []align.State{{Name: "hot", Temperatures: []align.StateTemperature{{Of: "case", Temperature: 80}, {Of: "tail", Temperature: 80}, {Of: "main", Temperature: 70}}, Moves: []align.StateMove{{Part: "tail", By: align.Vec3{Y: 0.01}}}}}
	hot, err := s.InState("hot")
	if err != nil {
		t.Fatal(err)
	}
	a := solve(t, hot)
	check.Near(t, "pilot", float64(a.Joints[0].Pilot.Clearance), 150.02*(1+21.5e-6*60)-150*(1+11.5e-6*60), 1e-9)
	check.Near(t, "running clearance", float64(a.Supports[1].Clearance), 0.1+40*(21.5e-6*60-11.5e-6*50), 1e-12)
	check.Near(t, "its shift", float64(a.Supports[2].Offset.Y), 0.01, 1e-9)
	unknown := 0
	for _, n := range a.Warnings {
		if n.Kind == align.NoteClearanceUnchanged {
			unknown++
		}
	}
	if unknown != 2 {
		t.Errorf("%d warnings of clearances not brought to temperature, want 2", unknown)
	}
	alike := box()
	for i := range alike.Parts {
		alike.Parts[i].Material = al
	}
	cold := solve(t, alike)
	for i := range alike.Parts {
		alike.Parts[i].Temperature = Given[Celsius](90)
	}
	warm := solve(t, alike)
	for i := range cold.Placed {
		c, w := cold.Placed[i].BaseFromPart, warm.Placed[i].BaseFromPart
		if d := c.Inverse().Rotate(w.Rotate(r3.Vec{Z: 1})); math.Hypot(d.X, d.Y) > 1e-9 {
			t.Errorf("%s tilts by %g", cold.Placed[i].Part, math.Hypot(d.X, d.Y))
		}
	}
}

// A sweep about another bore's axis is carried to that axis; droop and lift lower the centre; out reverses.
//
// Source: hand calculation: e = -r for a bore swept from inside.
func TestSweep_aboutDroopLift(t *testing.T) {
	s := swept(Millimetre, 0.01, 0, -0.01, 0)
	s.Parts[0].Bores[0] = align.Bore{Name: "a", Centre: align.Vec3{X: 1, Z: -200}, Slope: align.Slope{X: 0.01}}
	w := s.Parts[0].Bores[2].Sweep
	w.About, w.Droop, w.Lift = "housing/a", 0.002, 0.001
	s.References[0] = align.Reference{Name: "axis", Axis: "housing/a"}
	at := func() (x, y float64) {
		r, err := rangeOf(solve(t, s), align.Output{What: align.OffsetSize, Of: "housing/register"})
		if err != nil {
			t.Fatal(err)
		}
		return r.Rest.Value, 0
	}
	x, _ := at()
	check.Near(t, "in", x, 0.01+0.003, 1e-12)
	w.Out = true
	x, _ = at()
	check.Near(t, "out", x, 0.01-0.003, 1e-12)
}

// Shafts without any clearance: a line through all centres, or none.
func TestLine_noClearance(t *testing.T) {
	s := pair(150, 150)
	for i := range s.Shafts[0].Supports {
		s.Shafts[0].Supports[i].Clearance = 0
	}
	a := solve(t, s)
	if !a.Line.Use.Given || a.Line.Use.Value != 0 || !a.Line.RunsFree {
		t.Errorf("in line: %+v", a.Line)
	}
	s.Parts[1].Bores[0].Centre.Y = 0.3
	a = solve(t, s)
	if a.Line.Use.Given || a.Line.RunsFree {
		t.Errorf("out of line: %+v", a.Line)
	}
	check.Near(t, "margin", float64(a.Line.Margin), -0.3/4, 1e-9) // Source: hand calculation: |Σ w p| / Σ |w|, w = 1, -2, 1
}

// Two rooms without clearance and one with: the line is held at the two.
func TestLine_someWithout(t *testing.T) {
	s := pair(150, 150)
	s.Parts[0].Bores = append(s.Parts[0].Bores, align.Bore{Name: "mid", Centre: align.Vec3{X: 0.01, Z: 50}})
	s.Shafts[0].Supports[0].Clearance, s.Shafts[0].Supports[1].Clearance = 0, 0
	s.Shafts[0].Supports = append(s.Shafts[0].Supports, align.Support{Bore: "case/mid", Clearance: 0.04})
	s.Parts[1].Bores[0].Centre.X = 0.02
	a := solve(t, s)
	check.Near(t, "use", a.Line.Use.Value, 0.5, 1e-7) // Source: hand calculation: max(0.01/0.02, 0.02/0.05)
	if a.Line.Governs[0].Name != "case/mid" {
		t.Errorf("%v", a.Line.Governs)
	}
}

// The room of a support: moving its bore by it brings the use to 1, and no more is allowed that way.
func TestSupport_room(t *testing.T) {
	s := box()
	for i := range s.Joints {
		s.Joints[i].Lies = align.LiesRest
	}
	for i, name := range []string{"pilot", "front", "bearing", "bush"} {
		a := solve(t, s)
		b := a.Supports[i]
		if b.Bore[len(b.Bore)-len(name):] != name || !b.Room.Given {
			t.Fatalf("%+v", b)
		}
		least := math.Inf(1)
		for k := range 72 {
			sn, cs := math.Sincos(float64(k) * math.Pi / 36)
			m := box()
			for n := range m.Joints {
				m.Joints[n].Lies = align.LiesRest
			}
			part := []int{0, 1, 2, 3}[i]
			lo, hi := 0.0, 1.0
			for range 40 {
				mid := (lo + hi) / 2
				m.Parts[part].Moved = align.Vec3{X: Length(mid * sn), Y: Length(mid * cs)}
				r, _, err := m.Ranges([]align.Output{{What: align.Use}})
				if err != nil {
					t.Fatal(err)
				}
				if r[0].Rest.Given && r[0].Rest.Value <= 1 {
					lo = mid
				} else {
					hi = mid
				}
			}
			least = math.Min(least, lo)
		}
		if room := float64(b.Room.Value); room > least+1e-7 || room < least*0.995 {
			t.Errorf("%s: room %v, by search %v", b.Bore, room, least)
		}
	}
}

// A float's mean is from the rest: the lens of a pilot that leans lies all round it. Source: symmetry.
func TestStack_FloatSpread_lean(t *testing.T) {
	s := align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: &align.Face{Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 100.06}}},
			{Name: "tail", Front: &align.Face{Pilot: &align.Pilot{Diameter: 100, Slope: Given(align.Slope{X: 1e-3})}}, Bores: []align.Bore{{Name: "c"}}},
		},
		Joints: []align.Joint{{Engagement: Given[Length](30)}},
	}
	for _, law := range []align.Lie{align.LiesUniform, align.LiesRim} {
		f, err := s.FloatSpread(0, law)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(math.Abs(float64(f.Rest.X))-0.015) > 1e-9 || math.Abs(f.Mean[0]) > 1e-8 || math.Abs(f.Mean[1]) > 1e-8 || !(f.Covariance[0][0] > 0 && f.Covariance[1][1] > f.Covariance[0][0]) {
			t.Errorf("%v: %+v", law, f)
		}
	}
}

// A bush that is moved takes both its mouths along: beside one bearing it may go until the shaft, across
// the bush from rim to rim, meets the bearing's rim.
//
// Source: hand calculation: bearing at 0 with 0.05 of room, mouths at 90 and 110 with 0.02: the steepest
// line through the mouths rises by 0.04 over 20 and is at d − 0.02 − 0.18 at the bearing, where it may be
// at 0.05: d = 0.25. A bush whose axis stands 0.003 off at each mouth, crosswise, has less.
func TestSupport_roomOfBush(t *testing.T) {
	s := align.Stack{
		Parts:  []align.Part{{Name: "bed", Bores: []align.Bore{{Name: "bearing"}, {Name: "bush", Centre: align.Vec3{Z: 100}}}}},
		Shafts: []align.Shaft{{Name: "main", Supports: []align.Support{{Bore: "bed/bearing", Clearance: 0.1}, {Bore: "bed/bush", Kind: align.Bush, Width: 20, Clearance: 0.04}}}},
	}
	a := solve(t, s)
	check.Near(t, "bush", float64(a.Supports[1].Room.Value), 0.25, 1e-9)
	check.Near(t, "bearing", float64(a.Supports[0].Room.Value), 0.25, 1e-9)
	// Tilted by 0.003 in 10: the mouths' line itself is 0.03 off at the bearing, which leaves 0.22.
	s.Parts[0].Bores[1].Slope.X = 0.0003
	check.Near(t, "tilted bush", float64(solve(t, s).Supports[1].Room.Value), 0.22, 1e-9)
}

// A pin pressed into neither part has the room of both its holes; one that is pressed in, that of the other.
//
// Source: hand calculation: 8.02 and 8.06 on 8: 0.02 + 0.06, on diameter; two such pins let the part
// shift by half of that every way.
func TestJoint_pinRoom(t *testing.T) {
	hole := func(name string, x, d Length) align.Dowel {
		return align.Dowel{Name: name, Centre: align.Vec2{X: x}, Diameter: d}
	}
	for pressed, want := range map[align.Press]float64{align.PressedNeither: 0.08, align.PressedFront: 0.06, align.PressedRear: 0.02} {
		s := align.Stack{
			Parts: []align.Part{
				{Name: "case", Rear: &align.Face{Dowels: []align.Dowel{hole("left", -80, 8.02), hole("right", 80, 8.02)}}},
				{Name: "plate", Front: &align.Face{Dowels: []align.Dowel{hole("left", -80, 8.06), hole("right", 80, 8.06)}}},
			},
			Joints: []align.Joint{{Pins: []align.Pin{{Dowel: "left", Diameter: 8, Pressed: pressed}, {Dowel: "right", Diameter: 8, Pressed: pressed}}}},
		}
		j := solve(t, s).Joints[0]
		check.Near(t, "clearance", float64(j.Pins[0].Clearance), want, 1e-12)
		for k, end := range [2]float64{-want / 2, want / 2} {
			check.Near(t, "sideways", float64(j.ReachX[k]), end, 1e-9)
			check.Near(t, "up and down", float64(j.ReachY[k]), end, 1e-9)
		}
	}
}
