package align_test

import (
	"errors"
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// twoAxes is one case with two gear axes: the first along z over span, the second from (x, y) with a slope, over other.
func twoAxes(span, other, x, y, sx, sy float64) align.Stack {
	at := func(name string, x, y, z float64) align.Bore {
		return align.Bore{Name: name, Centre: align.Vec3{X: tolerance.Length(x), Y: tolerance.Length(y), Z: tolerance.Length(z)}}
	}
	return align.Stack{
		Parts: []align.Part{{Name: "case", Bores: []align.Bore{
			at("a", 0, 0, 0), at("b", 0, 0, span), at("c", x, y, 0), at("d", x+sx*other, y+sy*other, other),
		}}},
		Meshes: []align.Mesh{{Name: "pair", Axes: [2][2]string{{"case/a", "case/b"}, {"case/c", "case/d"}}, Z: 50, FaceWidth: 25}},
	}
}

func TestMesh_recommendedLimits(t *testing.T) {
	// Source: ISO/TR 10064-3:1996, f_Σβ = 0.5 (L/b) F_β and f_Σδ = 2 f_Σβ (from memory), worked out for three sizes.
	for _, c := range []struct{ span, width, helix, in, out float64 }{
		{100, 25, 0.012, 0.048, 0.024}, {180, 30, 0.017, 0.102, 0.051}, {250, 20, 0.0085, 0.10625, 0.053125},
	} {
		s := twoAxes(c.span, 60, 0, -90, 0, 0)
		s.Meshes[0].FaceWidth = tolerance.Length(c.width)
		s.Meshes[0].HelixTolerance = tolerance.Given(tolerance.Length(c.helix))
		a, err := s.Solve()
		if err != nil {
			t.Fatal(err)
		}
		m := a.Meshes[0]
		if math.Abs(float64(m.InPlaneLimit.Value)-c.in) > 1e-12 || math.Abs(float64(m.OutPlaneLimit.Value)-c.out) > 1e-12 {
			t.Errorf("span %v: limits %v, %v, want %v, %v", c.span, m.InPlaneLimit, m.OutPlaneLimit, c.in, c.out)
		}
	}
}

func TestMesh_deviations(t *testing.T) {
	const tiny = 1e-4
	for _, c := range []struct {
		name         string
		x, y, sx, sy float64
		span, other  float64
		in, out      float64 // over the longer span
	}{
		// Source: hand calculation: e from the plane's axis to the other, k rearward, out along k × e.
		{"parting below", 0, -90, 0, -tiny, 200, 120, 200 * tiny, 0},
		{"crossing below, to the right", 0, -90, tiny, 0, 200, 120, 0, 200 * tiny},
		{"parting to the right", 80, 0, tiny, 0, 200, 120, 200 * tiny, 0},
		{"crossing to the right, upward", 80, 0, 0, tiny, 200, 120, 0, 200 * tiny},
		// The other axis is longer and carries the plane: seen from it the first one parts likewise, and k × e points the other way.
		{"longer other parting", 0, -90, 0, -tiny, 100, 250, 250 * tiny, 0},
		{"longer other crossing", 0, -90, tiny, 0, 100, 250, 0, 250 * tiny},
	} {
		a, err := twoAxes(c.span, c.other, c.x, c.y, c.sx, c.sy).Solve()
		if err != nil {
			t.Fatal(err)
		}
		m := a.Meshes[0]
		if math.Abs(float64(m.InPlane)-c.in) > 2e-6 || math.Abs(float64(m.OutOfPlane)-c.out) > 2e-6 {
			t.Errorf("%s: in %v, out %v, want %v, %v", c.name, m.InPlane, m.OutOfPlane, c.in, c.out)
		}
	}
}

// The tooth's end that engages first follows from how the axes lie: along the line of action at the pressure angle.
func TestMesh_mismatch(t *testing.T) {
	const tiny, width = 1e-4, 25.0
	angle := 25 * tolerance.Degree
	for _, c := range []struct {
		name   string
		sx, sy float64
		want   [2]float64
	}{
		// Source: hand calculation: over the face the axes part by tiny·width, which takes both flanks apart by that times sin α at the rear.
		{"parting: both flanks bear at the front", 0, -tiny, [2]float64{-tiny * width * math.Sin(float64(angle)), -tiny * width * math.Sin(float64(angle))}},
		// Crossing moves the rear end along k × e: one flank bears at the rear, the other at the front, by cos α.
		{"crossing: one flank each", tiny, 0, [2]float64{tiny * width * math.Cos(float64(angle)), -tiny * width * math.Cos(float64(angle))}},
	} {
		s := twoAxes(200, 120, 0, -90, c.sx, c.sy)
		s.Meshes[0].PressureAngle = tolerance.Given(angle)
		a, err := s.Solve()
		if err != nil {
			t.Fatal(err)
		}
		for n, got := range a.Meshes[0].Mismatch {
			if math.Abs(float64(got)-c.want[n]) > 1e-7 {
				t.Errorf("%s: flank %d: %v, want %v mm", c.name, n, float64(got), c.want[n])
			}
		}
	}
}

// Backlash: the change of 2 Δa tan α is the derivative of the transverse backlash of involute gears, 2 Δa tan α_wt.
func TestMesh_backlash(t *testing.T) {
	a, err := twoAxes(200, 120, 0, -90, 0, 0).Solve()
	if err != nil {
		t.Fatal(err)
	}
	// Source: hand calculation: 2 tan 20° = 0.727940468532405.
	if got := a.Meshes[0].BacklashGain; math.Abs(got-0.727940468532405) > 1e-15 {
		t.Errorf("backlash gain %v", got)
	}
}

func TestMesh_faults(t *testing.T) {
	s := twoAxes(200, 120, 0, 0, 0, 0)
	if _, err := s.Solve(); !errors.Is(err, fault.ErrConflict) {
		t.Errorf("one axis: %v", err)
	}
	s = twoAxes(0, 120, 50, 0, 0, 0)
	if _, err := s.Solve(); !errors.Is(err, fault.ErrConflict) {
		t.Errorf("no span: %v", err)
	}
}

// Over a float the ends are a lever: the bore of the part behind moves by half the pilot's clearance.
func TestMesh_overFloat(t *testing.T) {
	face := func(kind align.PilotKind, d tolerance.Length) *align.Face {
		return &align.Face{Pilot: &align.Pilot{Kind: kind, Diameter: d}}
	}
	bore := func(name string, y, z tolerance.Length) align.Bore {
		return align.Bore{Name: name, Centre: align.Vec3{Y: y, Z: z}}
	}
	s := align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: face(align.PilotBore, 100.1), Bores: []align.Bore{bore("a", 0, -100), bore("c", -90, -100), bore("d", -90, -300)}},
			{Name: "plate", Front: face(align.Spigot, 100), Bores: []align.Bore{bore("b", 0, 0)}},
		},
		Joints: []align.Joint{{}},
		Meshes: []align.Mesh{{Name: "pair", Axes: [2][2]string{{"case/a", "plate/b"}, {"case/c", "case/d"}}, FaceWidth: 20}},
	}
	for _, c := range []struct {
		what align.Quantity
		want float64
	}{{align.InPlane, 0.1}, {align.OutOfPlane, 0.1}} {
		// Source: hand calculation: ±0.05 over 100 is ±0.1 over the longer span of 200.
		r, _, err := s.Ranges([]align.Output{{What: c.what, Of: "pair"}})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(r[0].Low.Value+c.want) > 1e-9 || math.Abs(r[0].High.Value-c.want) > 1e-9 {
			t.Errorf("ends %v, %v, want ∓%v", r[0].Low.Value, r[0].High.Value, c.want)
		}
	}
}

// On shafts without clearance and loads the gears run as the bores lie; a load that parts the shafts parts the gears.
func TestMesh_running(t *testing.T) {
	s := twoAxes(200, 120, 0, -90, 1e-4, -2e-4)
	steel := tolerance.Given(tolerance.Material{Modulus: tolerance.Given(206000.0)})
	s.Shafts = []align.Shaft{
		{Name: "main", Material: steel, Supports: []align.Support{{Bore: "case/a"}, {Bore: "case/b"}}, Sections: []align.Section{{From: 0, To: 200, Diameter: 30}}},
		{Name: "counter", Material: steel, Supports: []align.Support{{Bore: "case/c"}, {Bore: "case/d"}}, Sections: []align.Section{{From: 0, To: 120, Diameter: 30}}},
	}
	m := solve(t, s).Meshes[0]
	if m.Running == nil {
		t.Fatal("not worked out")
	}
	if d := m.Running.InPlane - m.InPlane; math.Abs(float64(d)) > 1e-5 { // the plane is taken at the face, not at the first-named bore
		t.Errorf("in plane %v on the shafts, %v of the bores", m.Running.InPlane, m.InPlane)
	}
	if d := m.Running.CentreDistance - m.CentreDistance; math.Abs(float64(d)) > 1e-9 {
		t.Errorf("%v apart on the shafts, %v of the bores", m.Running.CentreDistance, m.CentreDistance)
	}
	// Source: beam formula: a force F in the middle of the span L bends it by F L³ / 48 E I.
	s.Meshes[0].Z = 100
	s.Shafts[0].Loads = []align.Load{{Name: "separating", Z: 100, Force: align.Force{Y: 1000}}}
	loaded := solve(t, s).Meshes[0]
	s.Shafts[0].Loads = nil
	still := solve(t, s).Meshes[0]
	bend := 1000 * 200.0 * 200 * 200 / (48 * 206000 * math.Pi / 64 * 30 * 30 * 30 * 30)
	if got := float64(loaded.Running.CentreDistance - still.Running.CentreDistance); math.Abs(got-bend) > 1e-6 {
		t.Errorf("parted by %v, want %v", got, bend)
	}
}
