package align_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// squareRegister is a case and a tail joined by a register whose pilots are square to faces of unlike slope, and a full dowel: invented numbers. Bolted flush, its pilots lean by rounding alone, however deep they engage.
func squareRegister(slope align.Slope, lies align.Lie, bore, hole tolerance.Length, at, off align.Vec2) align.Stack {
	face := func(s align.Slope, kind align.PilotKind, d tolerance.Length, x, y, h tolerance.Length) *align.Face {
		return &align.Face{
			Slope: s, Diameter: tolerance.Given(tolerance.Length(200)),
			Pilot:  &align.Pilot{Kind: kind, Diameter: d},
			Dowels: []align.Dowel{{Name: "p", Centre: align.Vec2{X: x, Y: y}, Diameter: h}},
		}
	}
	return align.Stack{
		Parts: []align.Part{
			{
				Name: "case", Rear: face(slope, align.PilotBore, bore, at.X, at.Y, 8),
				Bores: []align.Bore{{Name: "a", Centre: align.Vec3{Z: -100}}, {Name: "b"}},
			},
			{
				Name: "tail", Front: face(align.Slope{}, align.Spigot, 100, at.X+off.X, at.Y+off.Y, hole),
				Bores: []align.Bore{{Name: "c"}, {Name: "d", Centre: align.Vec3{X: 0.003, Y: -0.002, Z: 120}}},
			},
		},
		Joints:     []align.Joint{{Engagement: tolerance.Given(tolerance.Length(6)), Pins: []align.Pin{{Dowel: "p", Diameter: 8, Pressed: align.PressedFront}}, Lies: lies}},
		References: []align.Reference{{Name: "l", Through: [2]string{"case/a", "case/b"}}},
		Shafts: []align.Shaft{{Name: "s", Supports: []align.Support{
			{Bore: "case/a", Clearance: 0.05}, {Bore: "case/b", Clearance: 0.08}, {Bore: "tail/d", Clearance: 0.06},
		}}},
	}
}

// The tail hangs by its register's whole radial clearance, whatever the engagement of a register that does not lean.
func TestRegister_squarePilotsDoNotLean(t *testing.T) {
	s := squareRegister(align.Slope{X: 1e-5, Y: 0.000134}, align.LiesHang, 100.08, 8.03, align.Vec2{X: 61.2, Y: 34.1}, align.Vec2{X: 0.01, Y: -0.005})
	a, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	r, err := rangeOf(a, align.Output{What: align.OffsetSize, Of: "tail/c", From: "l"})
	if err != nil {
		t.Fatal(err)
	}
	// Source: hand calculation: it hangs until the spigot meets its bore, 0.08/2 below; the dowel's hole turns to its pin without lifting it.
	if got := r.Rest.Value; math.Abs(got-0.04) > 1e-7 {
		t.Errorf("offset %.8f, want 0.04", got)
	}
	if l := a.Joints[0].Pilot.Lean; l != (align.Slope{}) {
		t.Errorf("lean %v, want none", l)
	}
}

// Deleting the engagement of a register that does not lean changes nothing: how it lies, how far it turns and reaches, the ends of every output.
func TestRegister_deletingEngagement(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 1))
	for trial := range 90 {
		slope := align.Slope{X: 3e-4 * rng.NormFloat64(), Y: 3e-4 * rng.NormFloat64()}
		lies := []align.Lie{align.LiesRest, align.LiesHang, align.LiesAny}[trial%3]
		sin, cos := math.Sincos(2 * math.Pi * rng.Float64())
		at := align.Vec2{X: tolerance.Length(75 * sin), Y: tolerance.Length(75 * cos)}
		off := align.Vec2{X: tolerance.Length(0.01 * rng.NormFloat64()), Y: tolerance.Length(0.01 * rng.NormFloat64())}
		s := squareRegister(slope, lies, 100+tolerance.Length(0.01+0.08*rng.Float64()), 8.005+tolerance.Length(0.04*rng.Float64()), at, off)
		front := &s.Parts[1].Front.Slope
		*front = align.Slope{X: 3e-4 * rng.NormFloat64(), Y: 3e-4 * rng.NormFloat64()}
		if rng.IntN(2) == 0 {
			s.Joints[0].Clock = tolerance.Angle(0.01 * rng.NormFloat64())
		}
		s.Joints[0].Engagement.Value = tolerance.Length(2 + 60*rng.Float64())
		with := registerNumbers(t, s, trial < 6)
		s.Joints[0].Engagement = tolerance.Optional[tolerance.Length]{}
		without := registerNumbers(t, s, trial < 6)
		for name, v := range without {
			if w := with[name]; w != v {
				t.Errorf("trial %d, %v: %s %.12g with an engagement, %.12g without", trial, lies, name, w, v)
			}
		}
		if t.Failed() {
			t.FailNow()
		}
	}
}

// registerNumbers is all that depends on how a squareRegister lies; its spreads too, which take long, if asked for.
func registerNumbers(t *testing.T, s align.Stack, spread bool) map[string]float64 {
	t.Helper()
	a, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	j := &a.Joints[0]
	out := map[string]float64{
		"float x": float64(j.Float.X), "float y": float64(j.Float.Y), "turn": float64(j.Float.Turn),
		"least turn": float64(j.TurnRange.Value[0]), "greatest turn": float64(j.TurnRange.Value[1]),
		"margin": float64(a.Line.Margin),
	}
	for n := range 2 {
		out[fmt.Sprintf("reach x %d", n)], out[fmt.Sprintf("reach y %d", n)] = float64(j.ReachX[n]), float64(j.ReachY[n])
	}
	for _, q := range []align.Output{
		{What: align.OffsetSize, Of: "tail/c", From: "l"},
		{What: align.TIRSize, Of: "tail/d", From: "l"},
		{What: align.Margin},
		{What: align.Use},
		{What: align.TurnAngle, Of: j.Name},
	} {
		r, err := rangeOf(a, q)
		if err != nil {
			t.Fatal(err)
		}
		name := fmt.Sprintf("%v %s", q.What, q.Of)
		out[name+" at rest"], out[name+" least"], out[name+" greatest"] = r.Rest.Value, r.Low.Value, r.High.Value
	}
	if !spread {
		return out
	}
	for _, law := range []align.Lie{align.LiesUniform, align.LiesRim} {
		f, err := s.FloatSpread(0, law)
		if err != nil {
			t.Fatal(err)
		}
		for i := range 3 {
			out[fmt.Sprintf("%v mean %d", law, i)] = f.Mean[i]
			out[fmt.Sprintf("%v variance %d", law, i)] = f.Covariance[i][i]
		}
	}
	return out
}

// A dowel on the axis of its register holds no turn, whether it stands there exactly or but for rounding.
func TestRegister_dowelOnItsAxis(t *testing.T) {
	for _, e := range []tolerance.Length{0, 1e-20, 1e-17, 1e-14, 1e-12, 1e-9, 9e-7} {
		s := squareRegister(align.Slope{X: 1e-4, Y: 2e-4}, align.LiesAny, 100.05, 8.03, align.Vec2{X: e}, align.Vec2{})
		if _, err := s.Solve(); !errors.Is(err, fault.ErrNotLocated) {
			t.Errorf("%g mm off the axis: %v, want %v", float64(e), err, fault.ErrNotLocated)
		}
	}
}

// A float that all but vanishes is found, and its ends go with the root of its thickness to those of the float that has vanished: across press fits, a pin that just enters and a register that all but strains.
func TestRegister_thinFloats(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for trial := range 30 {
		at := align.Vec2{X: 70, Y: tolerance.Length(10 * rng.NormFloat64())}
		worst := func(e float64) float64 {
			slope, kind := align.Slope{X: 1e-4, Y: 2e-4}, trial%5
			s := squareRegister(slope, align.LiesAny, 100.05, 8.05, at, align.Vec2{})
			switch kind {
			case 0:
				s = squareRegister(slope, align.LiesAny, 100.05, 8+tolerance.Length(e), at, align.Vec2{X: 0.003, Y: 0.004})
			case 1:
				s = squareRegister(slope, align.LiesAny, 100+tolerance.Length(e), 8.03, at, align.Vec2{X: 0.003, Y: 0.004})
			case 2:
				s = squareRegister(slope, align.LiesAny, 100.05, 8.05, align.Vec2{X: 70}, align.Vec2{X: 0.05 - tolerance.Length(e)})
			default:
				s.Parts[1].Front.Pilot.Slope = tolerance.Given(align.Slope{X: (0.05 - e) / 6})
				if kind == 4 {
					s.Joints[0].Pins = nil
				}
			}
			a, err := s.Solve()
			if err != nil {
				t.Fatalf("trial %d, %g: %v", trial, e, err)
			}
			if f := a.Line.OverFloat; f != nil {
				return float64(f.WorstMargin)
			}
			return float64(a.Line.Margin)
		}
		none := worst(0)
		for _, e := range []float64{1e-20, 1e-16, 1e-13, 1.5e-12, 3e-12, 1e-11, 1e-10, 3e-10, 1e-9} {
			// Source: hand calculation: two discs that overlap by e meet over a chord of √(8·room·e), the rooms here 0.025; the line magnifies it at most threefold.
			if w := worst(e); math.Abs(w-none) > 3*math.Sqrt(8*0.025*e)+3e-7 {
				t.Errorf("trial %d, %g: worst margin %.12g, without float %.12g", trial, e, w, none)
			}
		}
	}
}
