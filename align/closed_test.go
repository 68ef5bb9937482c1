package align_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	. "example.com/borestack/tolerance"
)

// rangeOf is the range of one output of a solved box.
func rangeOf(a *align.Assembly, out align.Output) (align.Range, error) {
	r, _, err := a.Stack().Ranges([]align.Output{out})
	if err != nil {
		return align.Range{}, err
	}
	return r[0], nil
}

func solve(t *testing.T, s align.Stack) *align.Assembly {
	t.Helper()
	a, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// swept is a bore at z = 0 with a dial turned in it, beside a line of two bores on the axis.
func swept(unit Length, readings ...float64) align.Stack {
	var v [][]Length
	for _, r := range readings {
		v = append(v, []Length{Length(r) * unit})
	}
	return align.Stack{Parts: []align.Part{{Name: "housing", Bores: []align.Bore{
		{Name: "a", Centre: align.Vec3{Z: -200}},
		{Name: "b", Centre: align.Vec3{Z: -100}},
		{Name: "register", Sweep: &align.Sweep{Readings: align.Readings{Values: v}}},
	}}}, References: []align.Reference{{Name: "crank", Through: [2]string{"housing/a", "housing/b"}}}}
}

// Source: Dodge Ram 2500 service information 2002, clutch housing bore runout (read in an excerpt; station order inferred): mean -2.0, first harmonic 5.83 at 43.6°, second 2.50, third 0.87.
func TestReadings_publishedBore(t *testing.T) {
	s := swept(Thou, 0, 2, 4, -1, -7, -10, -5, 1)
	a := solve(t, s)
	f := a.Readings[0]
	check.Near(t, "mean", f.Mean.Thous(), -2, 1e-12)
	check.Near(t, "first", f.Harmonics[0].Size.Thous(), 5.83, 0.005)
	check.Near(t, "its clock", f.Harmonics[0].Clock.Degrees(), 43.6, 0.05)
	check.Near(t, "second", f.Harmonics[1].Size.Thous(), 2.50, 0.005)
	check.Near(t, "third", f.Harmonics[2].Size.Thous(), 0.87, 0.005)
	if len(f.Harmonics) != 4 {
		t.Errorf("%d harmonics from eight equal steps, want 4", len(f.Harmonics))
	}
	r, err := rangeOf(a, align.Output{What: align.OffsetSize, Of: "housing/register"})
	if err != nil {
		t.Fatal(err)
	}
	tir, _ := rangeOf(a, align.Output{What: align.TIRSize, Of: "housing/register"})
	check.Near(t, "offset is the first harmonic, not the span of 14", Length(r.Rest.Value).Thous(), 5.83, 0.005)
	check.Near(t, "TIR is twice the offset", tir.Rest.Value, 2*r.Rest.Value, 1e-15)
}

// Source: Cummins N14 specifications manual, flywheel housing face example: 0, +3, -2, +3 at 12, 3, 6, 9 o'clock; hand calculation: 1 + cos θ - 2 cos 2θ exactly.
func TestReadings_publishedFace(t *testing.T) {
	var v [][]Length
	for _, r := range []float64{0, 3, -2, 3} {
		v = append(v, []Length{Length(r) * Thou})
	}
	s := align.Stack{Parts: []align.Part{{Name: "housing", Rear: &align.Face{Sweep: &align.Sweep{Readings: align.Readings{Values: v}, Radius: 8 * Inch}}}}}
	a := solve(t, s)
	f := a.Readings[0]
	check.Near(t, "mean", f.Mean.Thous(), 1, 1e-12)
	check.Near(t, "tilt", f.Harmonics[0].Size.Thous(), 1, 1e-12)
	check.Near(t, "warp", f.Harmonics[1].Size.Thous(), 2, 1e-12)
	check.Near(t, "warp's clock", f.Harmonics[1].Clock.Degrees(), 90, 1e-9)
	kinds := map[align.NoteKind]bool{}
	for _, n := range a.Warnings {
		kinds[n.Kind] = true
	}
	if !kinds[align.NoteFewStations] || !kinds[align.NoteSecondHarmonic] {
		t.Error("four stations and a large second harmonic go without a warning")
	}
}

// Source: Dodge Dakota technical service bulletin 1989, offset dowel chart: TIR 11-21 takes a 7 thou dowel, 22-35 a 14, 36-52 a 21, accepted at 10 TIR; hand calculation: perfect aim leaves |TIR - 2 dowel|.
func TestReadings_dowelChart(t *testing.T) {
	for _, c := range []struct{ tir, dowel, left float64 }{
		{11, 7, 3}, {21, 7, 7}, {22, 14, 6}, {35, 14, 7}, {36, 21, 6}, {52, 21, 10},
	} {
		var r []float64
		for k := range 8 {
			th := float64(k) * math.Pi / 4
			r = append(r, -c.tir/2*math.Cos(th-1)+1.5*math.Cos(2*th)) // off centre towards 57°, and oval
		}
		s := swept(Thou, r...)
		x, y := Length(c.dowel)*Thou*Length(math.Sin(1)), Length(c.dowel)*Thou*Length(math.Cos(1))
		s.Parts[0].Bores[0].Centre = align.Vec3{X: x, Y: y, Z: -200} // moving the housing back by the dowel is moving the line to it
		s.Parts[0].Bores[1].Centre = align.Vec3{X: x, Y: y, Z: -100}
		a := solve(t, s)
		got, err := rangeOf(a, align.Output{What: align.TIRSize, Of: "housing/register"})
		if err != nil {
			t.Fatal(err)
		}
		check.Near(t, fmt.Sprintf("TIR %v with a %v dowel", c.tir, c.dowel), Length(got.Rest.Value).Thous(), c.left, 1e-9)
		check.Near(t, "ovality stays", a.Readings[0].Harmonics[1].Size.Thous(), 1.5, 1e-9)
	}
}

// Source: Dodge Ram 3500 service information 2002, clutch housing face runout: corners +9, 0, -3, -4; hand calculation: of three corner orders, the twist that no plane shim removes is 2, 2.5 or 4.
func TestReadings_cornerShims(t *testing.T) {
	want := map[float64]bool{}
	for _, order := range [][]float64{{9, 0, -3, -4}, {9, -3, 0, -4}, {9, 0, -4, -3}} {
		var v [][]Length
		for _, r := range order {
			v = append(v, []Length{Length(r) * Thou})
		}
		s := align.Stack{Parts: []align.Part{{Name: "h", Rear: &align.Face{Sweep: &align.Sweep{Readings: align.Readings{Values: v, First: 45 * Degree}, Radius: 6 * Inch}}}}}
		a := solve(t, s)
		want[math.Round(a.Readings[0].Harmonics[1].Size.Thous()*1000)/1000] = true
	}
	for _, w := range []float64{2, 2.5, 4} {
		if !want[w] {
			t.Errorf("twists %v, want 2, 2.5 and 4", want)
		}
	}
}

// shop is a main shaft at 0, 8 in and 18 in, with a plate whose wedge was read round a 7 in face.
func shop(rise, clearance, bush float64) align.Stack {
	var v [][]Length
	for k := range 12 {
		v = append(v, []Length{Length(0.5+rise/2*math.Cos(float64(k)*math.Pi/6)) * Inch})
	}
	in := func(d float64) Length { return Length(d) * Inch }
	return align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: &align.Face{Z: in(7.5), Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: in(5)}}, Bores: []align.Bore{{Name: "front"}}},
			{
				Name:  "plate",
				Front: &align.Face{Pilot: &align.Pilot{Diameter: in(5)}},
				Rear: &align.Face{
					Thickness: &align.Thickness{Readings: align.Readings{Values: v}, Radius: in(3.5)},
					Pilot:     &align.Pilot{Diameter: in(4)},
				},
				Bores: []align.Bore{{Name: "bearing", Centre: align.Vec3{Z: in(0.5)}}},
			},
			{Name: "tail", Front: &align.Face{Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: in(4)}}, Bores: []align.Bore{{Name: "bush", Centre: align.Vec3{Z: in(10)}}}},
		},
		Joints: []align.Joint{{}, {}},
		Shafts: []align.Shaft{{Name: "main", Supports: []align.Support{
			{Bore: "case/front", Clearance: Diametral(in(clearance))}, {Bore: "plate/bearing", Clearance: Diametral(in(clearance))}, {Bore: "tail/bush", Clearance: Diametral(in(bush))},
		}}},
	}
}

// Source: common practice, no published source; hand calculation: use = (8/18)(10 rise/7)/2 / 0.0025.
func TestStack_Solve_shopPlates(t *testing.T) {
	for _, rise := range []float64{0.0015, 0.0025, 0.003, 0.011} {
		a := solve(t, shop(rise, 0.005, 0.005))
		want := 8.0 / 18 * (10 * rise / 7) / 2 / 0.0025
		check.Near(t, fmt.Sprintf("rise %v", rise), a.Line.Use.Value, want, 1e-5*want)
		if a.Line.RunsFree != (rise < 0.01) {
			t.Errorf("rise %v: runs free %v", rise, a.Line.RunsFree)
		}
		for _, j := range a.Joints {
			if !j.Assembles || j.Gap.Greatest != 0 || j.Rules != align.RulesFlush {
				t.Error("it all bolts up flush")
			}
		}
	}
	// with ball bearings of 0.0009 in, 0.003 in no longer has room: hand calculation: (8/18)(10·0.003/7) over the rooms (10·0.0009 + 18·0.0009 + 8·0.005)/36
	a := solve(t, shop(0.003, 0.0009, 0.005))
	check.Near(t, "ball bearings", a.Line.Use.Value, (8.0*10*0.003/7)/((10*0.0009+18*0.0009+8*0.005)/2), 1e-5)
	if a.Line.RunsFree {
		t.Error("0.003 in with ball bearings has no room")
	}
}

// A wedge leans what is behind it by its slope, however short and tight the register, and the offset grows with the lever arm.
//
// Source: hand calculation: lever arm.
func TestStack_Solve_wedgeNeverDisappears(t *testing.T) {
	for _, clearance := range []Length{0, 0.001, 0.05} {
		for _, engagement := range []Length{0.5, 3, 30} {
			s := shop(0.011, 0.005, 0.005)
			s.Parts[1].Rear.Pilot.Diameter = 4*Inch - clearance
			s.Joints[1].Engagement = Given(engagement)
			s.Joints[1].Rules = align.RulesFlush
			s.Joints[1].Lies = align.LiesRest
			a := solve(t, s)
			b := a.Supports[2]
			check.Near(t, "tilt", math.Hypot(b.Tilt.X, b.Tilt.Y), 0.011/7, 1e-8)
			if off := math.Hypot(float64(b.Offset.X), float64(b.Offset.Y)); off < 10*25.4*0.011/7-float64(clearance)-1e-5 {
				t.Errorf("clearance %v, engagement %v: offset only %v", clearance, engagement, off)
			}
		}
	}
}

// A press pilot that leans against its face leaves a gap when the pilot leads: lean times the ring's diameter.
//
// Source: hand calculation: gap = (|τ| - 0) D.
func TestStack_Solve_pressPilotGaps(t *testing.T) {
	s := align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: &align.Face{Diameter: Given[Length](200), Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 150}}},
			{Name: "tail", Front: &align.Face{Diameter: Given[Length](200), Pilot: &align.Pilot{Diameter: 150, Slope: Given(align.Slope{X: 0.001})}}},
		},
		Joints: []align.Joint{{Engagement: Given[Length](20), Rules: align.RulesPilot}},
	}
	a := solve(t, s)
	check.Near(t, "gap", float64(a.Joints[0].Gap.Greatest), 0.2, 1e-9)
	// The pilot's axis lies along z, and the face that leans from it touches at one edge of its ring.
	one := a.Placed[1].BaseFromPart.Apply(align.Vec3{X: 100})
	other := a.Placed[1].BaseFromPart.Apply(align.Vec3{X: -100})
	check.Near(t, "touches", float64(min(one.Z, other.Z)), 0, 1e-6)
	check.Near(t, "open", float64(max(one.Z, other.Z)), 0.2, 1e-6)
	s.Joints[0].Rules = align.RulesFlush
	a = solve(t, s)
	check.Near(t, "strain", float64(a.Joints[0].Pilot.Strain), 0.02, 1e-9)
	warned := false
	for _, n := range a.Warnings {
		warned = warned || n.Kind == align.NoteStrainedRegister
	}
	if !warned {
		t.Error("a strained register goes without a warning")
	}
}

// Readings taken from the nose side mirror left and right.
func TestReadings_fromNose(t *testing.T) {
	s := swept(Thou, 0, 2, 4, -1, -7, -10, -5, 1)
	a := solve(t, s)
	s.Parts[0].Bores[2].Sweep.FromNose = true
	b := solve(t, s)
	check.Near(t, "mirrored", b.Readings[0].Harmonics[0].Clock.Degrees(), 360-a.Readings[0].Harmonics[0].Clock.Degrees(), 1e-9)
}

// Two dowels too far apart by d: each clearance lacks d minus both clearances' halves.
//
// Source: hand calculation: |r1| + |r2| = d at least.
func TestStack_Solve_doesNotAssemble(t *testing.T) {
	hole := func(x, d Length) align.Dowel {
		return align.Dowel{Name: fmt.Sprint(x > 0), Centre: align.Vec2{X: x}, Diameter: d}
	}
	s := align.Stack{
		Parts: []align.Part{
			{Name: "a", Rear: &align.Face{Dowels: []align.Dowel{hole(-80, 10), hole(80, 10)}}},
			{Name: "b", Front: &align.Face{Dowels: []align.Dowel{hole(-80, 10.02), hole(80.1, 10.02)}}},
		},
		Joints: []align.Joint{{Pins: []align.Pin{{Dowel: "false", Diameter: 10}, {Dowel: "true", Diameter: 10}}}},
	}
	j := solve(t, s).Joints[0]
	check.Near(t, "interference", float64(j.Interference), 0.1-0.02, 1e-9)
	if j.Assembles || len(j.Fouls) != 2 {
		t.Errorf("assembles %v, fouls %v", j.Assembles, j.Fouls)
	}
}

// A stack turned as a whole about z gives the same sizes; the base frame is a matter of choice.
func TestStack_Solve_turnedBase(t *testing.T) {
	s := box()
	for i := range s.Joints {
		s.Joints[i].Lies = align.LiesRest
	}
	a := solve(t, s)
	turned := box()
	for i := range turned.Joints {
		turned.Joints[i].Lies = align.LiesRest
	}
	half := func(v *align.Vec2) { v.X, v.Y = -v.X, -v.Y }
	slope := func(v *align.Slope) { v.X, v.Y = -v.X, -v.Y }
	for i := range turned.Parts {
		p := &turned.Parts[i]
		for _, f := range []*align.Face{p.Front, p.Rear} {
			if f == nil {
				continue
			}
			slope(&f.Slope)
			for k := range f.Dowels {
				half(&f.Dowels[k].Centre)
			}
		}
		for k := range p.Bores {
			c := &p.Bores[k].Centre
			c.X, c.Y = -c.X, -c.Y
		}
	}
	b := solve(t, turned)
	check.Near(t, "margin", float64(b.Line.Margin), float64(a.Line.Margin), 1e-10)
	check.Near(t, "use", b.Line.Use.Value, a.Line.Use.Value, 1e-9)
	for i := range a.Supports {
		check.Near(t, "offset", float64(b.Supports[i].Offset.X), -float64(a.Supports[i].Offset.X), 1e-9)
	}
}

// A choice that is none of the named values is a fault at its place, never the default.
func TestStack_Validate_choices(t *testing.T) {
	for _, c := range []struct {
		at   string
		slip func(s *align.Stack)
	}{
		{"/joints/1/lies", func(s *align.Stack) { s.Joints[1].Lies = align.LiesRim + 1 }},
		{"/joints/1/rules", func(s *align.Stack) { s.Joints[1].Rules = align.RulesPilot + 1 }},
		{"/joints/1/pins/0/pressed", func(s *align.Stack) { s.Joints[1].Pins[0].Pressed = align.PressedNeither + 1 }},
		{"/parts/1/rear/pilot/kind", func(s *align.Stack) { s.Parts[1].Rear.Pilot.Kind = align.PilotBore + 1 }},
		{"/shafts/0/supports/0/kind", func(s *align.Stack) { s.Shafts[0].Supports[0].Kind = align.Bush + 1 }},
	} {
		s := box()
		c.slip(&s)
		var f *fault.FieldError
		if err := s.Validate(); !errors.As(err, &f) || !strings.Contains(err.Error(), c.at+":") {
			t.Errorf("%s: %v", c.at, err)
		}
	}
	s := box()
	if _, err := s.Compile(nil, []align.Lie{align.LiesRest, align.LiesRim + 1, align.LiesRest}, nil); err == nil {
		t.Error("no fault for a joint that lies in no known way")
	}
}
