package align_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align"
	. "example.com/borestack/tolerance"
)

// registered is a case, a plate clocked on it and a tail: register without pins, then register and peg.
func registered(clock Angle) align.Stack {
	pilot := func(kind align.PilotKind, d Length) *align.Pilot {
		return &align.Pilot{Kind: kind, Diameter: d, Slope: Given(align.Slope{})}
	}
	peg := func(d, x Length) []align.Dowel {
		return []align.Dowel{{Name: "peg", Centre: align.Vec2{X: x, Y: 90}, Diameter: d}}
	}
	return align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: &align.Face{Pilot: pilot(align.PilotBore, 160.04)}},
			{Name: "plate", Front: &align.Face{Pilot: pilot(align.Spigot, 160)}, Rear: &align.Face{Z: 14, Pilot: pilot(align.Spigot, 150), Dowels: peg(8, 0.03)}},
			{Name: "tail", Front: &align.Face{Pilot: pilot(align.PilotBore, 150.08), Dowels: peg(8.05, 0)}},
		},
		Joints: []align.Joint{{Clock: clock}, {Pins: []align.Pin{{Dowel: "peg", Diameter: 8}}}},
	}
}

// A register without pins travels by half its clearance each way, whatever the part's clock; its middle is where it rests. With a peg, what two dials find is the extent of the floats that the fences allow: those are sampled.
//
// Source: hand calculation (the register); brute force over the fences' own definition in physics: |f| ≤ 0.04, |(−0.03, 0) + f + γ (−90, 0)| ≤ 0.025 in the plate's frame.
func TestStack_Travel(t *testing.T) {
	s := registered(120 * Degree)
	name := s.JointName(0)
	v, err := s.Travel(name)
	if err != nil {
		t.Fatal(err)
	}
	for _, ends := range [][2]Length{v.X, v.Y} {
		if math.Abs(float64(ends[0]+0.02)) > 1e-9 || math.Abs(float64(ends[1]-0.02)) > 1e-9 {
			t.Errorf("register of 0.04: travels %v", ends)
		}
	}
	if v.Turns || v.Turn != [2]Angle{} {
		t.Errorf("turns by %v without a pin", v.Turn)
	}
	if v, err = s.Travel(s.JointName(1)); err != nil {
		t.Fatal(err)
	}
	// the plate's x is at 120° + 90° of the clock in S
	sn, cs := math.Sincos(float64(120 * Degree))
	rng := rand.New(rand.NewPCG(1, 2))
	least, most := [2]float64{1, 1}, [2]float64{-1, -1}
	for range 400_000 {
		x, y, g := 0.08*(rng.Float64()-0.5), 0.08*(rng.Float64()-0.5), 0.004*(rng.Float64()-0.5)
		inside := math.Hypot(x, y) <= 0.04 && math.Hypot(-0.03+x-90*g, y) <= 0.025
		f := align.Float{X: Length(x), Y: Length(y), Turn: Angle(-g)}
		if v.Allows(f, 0) != inside {
			t.Fatalf("%v: allowed %v, the fences say %v", f, v.Allows(f, 0), inside)
		}
		if !inside {
			continue
		}
		inS := [2]float64{cs*x + sn*y, -sn*x + cs*y} // clockwise by 120°
		got := v.InS(f)
		if math.Abs(float64(got.X)-inS[0]) > 1e-12 || math.Abs(float64(got.Y)-inS[1]) > 1e-12 {
			t.Fatalf("%v in S: %v, want %v", f, got, inS)
		}
		if back := v.InFront(got); math.Abs(float64(back.X)-x) > 1e-12 || math.Abs(float64(back.Y)-y) > 1e-12 {
			t.Fatalf("%v and back: %v", f, back)
		}
		for c := range 2 {
			least[c], most[c] = min(least[c], inS[c]), max(most[c], inS[c])
		}
	}
	// held at (0.01, 0.02), the peg lets γ go from (−0.02 ± √(0.025² − 0.02²)) over 90
	ends, ok := v.TurnAt(align.Float{X: 0.01, Y: 0.02})
	if lo, hi := (0.02-0.015)/90, (0.02+0.015)/90; !ok || math.Abs(float64(ends[0])-lo) > 1e-9 || math.Abs(float64(ends[1])-hi) > 1e-9 {
		t.Errorf("turns at (0.01, 0.02): %v %v, want %v to %v", ends, ok, lo, hi)
	}
	if _, ok := v.TurnAt(align.Float{Y: 0.03}); ok {
		t.Error("it can be held where its peg does not let it")
	}
	for c, ends := range [][2]Length{v.X, v.Y} {
		if math.Abs(float64(ends[0])-least[c]) > 0.001 || math.Abs(float64(ends[1])-most[c]) > 0.001 {
			t.Errorf("along dial %d: %v, sampled %v to %v", c, ends, least[c], most[c])
		}
	}
	if _, err := s.Travel("lid"); err == nil {
		t.Error("a joint that is not there travels")
	}
}
