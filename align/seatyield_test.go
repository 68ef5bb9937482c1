package align_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// pressed is a cover bolted on a case: measured heights at stations round two rings, bolts round a circle, on a foundation.
func pressed(rng *rand.Rand, stations, bolts int, bumps, stiffness float64) align.Stack {
	ring := func(sd float64) []align.Vec3 {
		var out []align.Vec3
		for i := range stations {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(stations))
			out = append(out, at(60*s, 60*c, sd*rng.NormFloat64()))
		}
		return out
	}
	s := align.Stack{
		Parts:  []align.Part{{Name: "case", Rear: &align.Face{Points: ring(bumps), Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 100}}}, {Name: "cover", Front: &align.Face{Points: ring(bumps), Pilot: &align.Pilot{Diameter: 100}}, Bores: []align.Bore{{Name: "b", Centre: at(0, 0, 100)}}}},
		Joints: []align.Joint{{SeatOnPoints: true, Float: &align.Float{}, Yield: &align.Yield{Stiffness: stiffness, Area: 3000}}},
	}
	for i := range bolts {
		sn, c := math.Sincos(2 * math.Pi * (float64(i) + 0.3) / float64(bolts))
		s.Joints[0].Bolts = append(s.Joints[0].Bolts, align.Vec2{X: tolerance.Length(55 * sn), Y: tolerance.Length(55 * c)})
		s.Joints[0].Yield.BoltLoads = append(s.Joints[0].Yield.BoltLoads, 5000+4000*rng.Float64())
	}
	return s
}

// The pressures carry the bolts: force and both moments. Source: statics.
func TestYield_balance(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for trial := range 300 {
		s := pressed(rng, 6+trial%20, 4+trial%5, 0.02, math.Pow(10, 1+3*rng.Float64()))
		a := solve(t, s)
		j, c := &s.Joints[0], a.Joints[0].Contact
		var f, mx, my, bolts float64
		area := j.Yield.Area / float64(len(c.Stations))
		for _, q := range c.Stations {
			f += q.Pressure * area
			mx += q.Pressure * area * float64(q.At.X)
			my += q.Pressure * area * float64(q.At.Y)
			if q.Pressure > 0 && q.Gap > 0 {
				t.Fatalf("trial %d: presses across a gap", trial)
			}
		}
		for i, b := range j.Bolts {
			bolts += j.Yield.BoltLoads[i]
			f -= j.Yield.BoltLoads[i]
			mx -= j.Yield.BoltLoads[i] * float64(b.X)
			my -= j.Yield.BoltLoads[i] * float64(b.Y)
		}
		if math.Abs(f) > 1e-8*bolts || math.Hypot(mx, my) > 1e-7*bolts*60 {
			t.Fatalf("trial %d: out of balance by %v N, %v N·mm of %v N", trial, f, math.Hypot(mx, my), bolts)
		}
	}
}

// Parallel faces press alike: by F / (k A). Source: hand calculation.
func TestYield_parallelFaces(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	s := pressed(rng, 12, 6, 0, 50)
	s.Joints[0].Yield.BoltLoads = []float64{1000}
	a := solve(t, s)
	c := a.Joints[0].Contact
	want := 6 * 1000.0 / 3000
	if math.Abs(c.Least-want) > 1e-9 || math.Abs(c.Greatest-want) > 1e-9 || c.Open.Given {
		t.Errorf("pressure %v to %v, want %v", c.Least, c.Greatest, want)
	}
	if z := float64(a.Placed[1].BaseFromPart.Origin().Z); math.Abs(z+want/50) > 1e-12 {
		t.Errorf("pressed in by %v, want %v", -z, want/50)
	}
}

// The stiffer, the nearer to the rigid seat; and pressing harder never opens a contact.
func TestYield_limits(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for range 40 {
		s := pressed(rng, 12, 4, 0.02, 100)
		stiff := s
		stiff.Joints = append([]align.Joint(nil), s.Joints...)
		stiff.Joints[0].Yield = &align.Yield{Stiffness: 1e9, Area: 3000, BoltLoads: s.Joints[0].Yield.BoltLoads}
		rigid := s
		rigid.Joints = append([]align.Joint(nil), s.Joints...)
		rigid.Joints[0].Yield = nil
		// the rigid seat takes the bolts' centroid: give all the same load
		stiff.Joints[0].Yield.BoltLoads = []float64{5000}
		a, b := solve(t, stiff).Placed[1].BaseFromPart, solve(t, rigid).Placed[1].BaseFromPart
		if d := math.Abs(float64(a.Origin().Z - b.Origin().Z)); d > 1e-6 {
			t.Fatalf("a foundation of 1e9 N/mm³ sits %v mm from the rigid seat", d)
		}
		open := func(load float64) (n int) {
			q := s
			q.Joints = append([]align.Joint(nil), s.Joints...)
			q.Joints[0].Yield = &align.Yield{Stiffness: 100, Area: 3000, BoltLoads: []float64{load}}
			for _, c := range solve(t, q).Joints[0].Contact.Stations {
				if c.Pressure == 0 {
					n++
				}
			}
			return n
		}
		if a, b, c := open(200), open(2000), open(50000); a < b || b < c {
			t.Fatalf("stations without pressure: %d, %d, %d as the bolts pull harder", a, b, c)
		}
	}
}

// Bow goes as the bolts flatten it, wedge stays: flat to nothing leaves the seat of the planes. Source: limit cases.
func TestFlatten(t *testing.T) {
	bow := func(sx float64) []align.Vec3 {
		var out []align.Vec3
		for i := range 12 {
			s, c := math.Sincos(2 * math.Pi * float64(i) / 12)
			out = append(out, at(60*s, 60*c, 0.01*math.Cos(2*math.Pi*float64(i)/6)+sx*60*s))
		}
		return out
	}
	s := align.Stack{
		Parts:  []align.Part{{Name: "case", Rear: &align.Face{Points: bow(2e-4), Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 100}}}, {Name: "cover", Front: &align.Face{Pilot: &align.Pilot{Diameter: 100}}, Bores: []align.Bore{{Name: "b", Centre: at(0, 0, 100)}}}},
		Joints: []align.Joint{{SeatOnPoints: true, Float: &align.Float{}}},
	}
	gap := func(share float64) (float64, float64) {
		s.Joints[0].Flatten = share
		a := solve(t, s)
		return float64(a.Joints[0].Gap.Greatest), float64(a.Placed[1].BaseFromPart.Apply(at(0, 0, 100)).X)
	}
	free, lean := gap(0)
	half, _ := gap(0.5)
	none, still := gap(1)
	if math.Abs(free-0.02) > 1e-9 || math.Abs(half-0.01) > 1e-9 || none > 1e-12 {
		t.Errorf("gaps %v, %v, %v, want 0.02, 0.01, 0", free, half, none)
	}
	if math.Abs(lean-still) > 3e-6 || math.Abs(still+2e-4*100) > 1e-6 {
		t.Errorf("the wedge moves the bore to %v, and %v flattened, want -0.02", lean, still)
	}
}

func TestYield_faults(t *testing.T) {
	s := pressed(rand.New(rand.NewPCG(7, 8)), 6, 4, 0.01, 100)
	s.Joints[0].Yield = &align.Yield{Stiffness: 0, Area: -1, BoltLoads: []float64{1, 2}}
	s.Joints[0].Flatten = 2
	if err := s.Validate(); !errors.Is(err, fault.ErrOutOfRange) || !errors.Is(err, fault.ErrMissing) {
		t.Errorf("%v", err)
	}
	s = pressed(rand.New(rand.NewPCG(7, 8)), 6, 4, 0.01, 100)
	s.Joints[0].SeatOnPoints = false
	if err := s.Validate(); !errors.Is(err, fault.ErrConflict) {
		t.Errorf("a yielding seat on planes: %v", err)
	}
	// bolts that pull outside the ring hold nothing down on the other side
	s = pressed(rand.New(rand.NewPCG(7, 8)), 6, 1, 0.01, 100)
	s.Joints[0].Bolts[0] = align.Vec2{X: 200}
	if _, err := s.Solve(); !errors.Is(err, fault.ErrConflict) {
		t.Errorf("a bolt outside the ring: %v", err)
	}
}

// Stations that do not pair: the rear face's heights are taken between its own. Oval and three-lobed faces are met exactly, and the error of what is left is said. Source: closed form, and the same seat with stations that pair.
func TestInterpolate(t *testing.T) {
	shape := func(theta float64) float64 {
		return 0.01*math.Cos(2*theta) + 0.004*math.Sin(3*theta)
	}
	face := func(n int, from float64) []align.Vec3 {
		var out []align.Vec3
		for i := range n {
			th := from + 2*math.Pi*float64(i)/float64(n)
			s, c := math.Sincos(th)
			out = append(out, at(60*s, 60*c, shape(th)+1e-4*60*s))
		}
		return out
	}
	s := align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: &align.Face{Points: face(12, 0), Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 100}}},
			{Name: "cover", Front: &align.Face{Points: face(12, 0), Pilot: &align.Pilot{Diameter: 100}}, Bores: []align.Bore{{Name: "b", Centre: at(0, 0, 100)}}},
		},
		Joints: []align.Joint{{SeatOnPoints: true, Float: &align.Float{}}},
	}
	pairs := solve(t, s)
	s.Parts[1].Front.Points = face(16, 0.1)
	if _, err := s.Solve(); !errors.Is(err, fault.ErrConflict) {
		t.Errorf("stations that do not pair: %v", err)
	}
	s.Joints[0].Interpolate = true
	between := solve(t, s)
	far := between.Placed[1].BaseFromPart.Apply(align.Vec3{X: 100, Y: 100, Z: 100})
	if at := pairs.Placed[1].BaseFromPart.Apply(align.Vec3{X: 100, Y: 100, Z: 100}); math.Abs(float64(at.X-far.X))+math.Abs(float64(at.Y-far.Y))+math.Abs(float64(at.Z-far.Z)) > 1e-9 {
		t.Errorf("seats at %v, between stations at %v", pairs.Placed[1].BaseFromPart.Origin(), between.Placed[1].BaseFromPart.Origin())
	}
	if e := between.Joints[0].Between; !e.Given || e.Value > 1e-9 {
		t.Errorf("error %v", e)
	}
	// A burr at one station is what the others do not say.
	s.Parts[1].Front.Points[3].Z += 0.016
	if e := solve(t, s).Joints[0].Between; float64(e.Value) < 0.003 {
		t.Errorf("a burr of 0.016, and an error of %v", e.Value)
	}
	s.Parts[1].Front.Points = face(4, 0.1)
	if _, err := s.Solve(); err == nil {
		t.Error("four stations were enough")
	}
}

// A face that dips on one side, under light bolts: the stretch without pressure is where the dip is, clockwise from its first station to its last.
func TestYield_open(t *testing.T) {
	s := pressed(rand.New(rand.NewPCG(9, 10)), 12, 4, 0, 1000)
	s.Joints[0].Yield.BoltLoads = []float64{500}
	for _, i := range []int{11, 0, 1} { // 11, 12 and 1 o'clock
		s.Parts[0].Rear.Points[i].Z -= 0.05
	}
	c := solve(t, s).Joints[0].Contact
	open, given := c.Open.Get()
	if !given || math.Abs(open[0].Degrees()-330) > 1e-9 || math.Abs(open[1].Degrees()-30) > 1e-9 || c.Least != 0 {
		t.Errorf("open %v, %v; least %v", c.Open, given, c.Least)
	}
}

// The widest stretch is so as an angle: five stations crowded into 8° are not as wide as two that are 45° apart.
//
// Source: hand calculation: two dips, at 100° to 108° and from 180° to 225°.
func TestYield_openByAngle(t *testing.T) {
	var clocks []float64
	for d := 0.0; d < 360; d += 45 {
		clocks = append(clocks, d)
	}
	clocks = append(clocks, 100, 102, 104, 106, 108, 280, 282, 284, 286, 288)
	face := func(dip bool) (out []align.Vec3) {
		for _, d := range clocks {
			sn, cs := math.Sincos(d * math.Pi / 180)
			z := 0.0
			if dip && (d >= 100 && d <= 108 || d == 180 || d == 225) {
				z = -0.05
			}
			out = append(out, align.Vec3{X: tolerance.Length(100 * sn), Y: tolerance.Length(100 * cs), Z: tolerance.Length(z)})
		}
		return out
	}
	var bolts []align.Vec2
	for k := range 8 {
		sn, cs := math.Sincos(float64(k) * math.Pi / 4)
		bolts = append(bolts, align.Vec2{X: tolerance.Length(100 * sn), Y: tolerance.Length(100 * cs)})
	}
	s := align.Stack{
		Parts:  []align.Part{{Name: "case", Rear: &align.Face{Points: face(true)}}, {Name: "cover", Front: &align.Face{Points: face(false)}}},
		Joints: []align.Joint{{SeatOnPoints: true, Bolts: bolts, BoltClearance: tolerance.Given[tolerance.Diametral](1), Float: &align.Float{}, Yield: &align.Yield{Stiffness: 200, Area: 5000, BoltLoads: []float64{500}}}},
	}
	c := solve(t, s).Joints[0].Contact
	open, given := c.Open.Get()
	if !given || math.Abs(open[0].Degrees()-180) > 1e-9 || math.Abs(open[1].Degrees()-225) > 1e-9 {
		t.Errorf("open %v %v", open, given)
	}
}
