package advise_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	. "example.com/borestack/tolerance"
)

// The expanded uncertainty of the reading to expect covers what comes: the true box drawn about its readings, the shim made within its bound, the dial read with its own error; the two components of the offset fall within U/2 in about 95 % of boxes each. Simulated: 4,000 boxes, seed 8.
//
// Source: JCGM 100:2008, 6.2 (k = 2 is about 95 % of a normal law).
func TestDial_coverage(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 8))
	const u, within = 0.003, 0.01
	b := sweptPair(u, 0.1)
	b.Stack.Candidates = nil
	b.Stack.Parts[0].Rear.Diameter, b.Stack.Parts[1].Front.Diameter = Given[Length](120), Given[Length](120)
	b.Stack.Parts[1].Bores[0].Centre.Z = 150
	a, err := advise.Correct(context.Background(), b, advise.Shop{Within: within, Dial: 0.002})
	if err != nil {
		t.Fatal(err)
	}
	shim := advise.Correction{Kind: advise.TaperShim, Place: "case|plate", By: 0.1, Rise: 0.05, Across: 120, Clock: 270 * Degree}
	o, err := a.Try(context.Background(), shim)
	if err != nil {
		t.Fatal(err)
	}
	d, err := a.Expect(o)
	if err != nil || d == nil || d.Bore != "plate/seat" {
		t.Fatalf("%+v, %v", d, err)
	}
	const n = 4000
	hit := [2]int{}
	for range n {
		s := b.Stack
		s.Parts = append([]align.Part(nil), s.Parts...)
		noisy := func(w *align.Sweep) *align.Sweep {
			v := *w
			v.Values = nil
			for _, x := range w.Values {
				v.Values = append(v.Values, []Length{x[0] + Length(u*rng.NormFloat64())})
			}
			return &v
		}
		rear, bores := *s.Parts[0].Rear, append([]align.Bore(nil), s.Parts[1].Bores...)
		pilot := *rear.Pilot
		pilot.Sweep = noisy(pilot.Sweep)
		rear.Pilot = &pilot
		s.Parts[0].Rear = &rear
		bores[0].Sweep = noisy(bores[0].Sweep)
		s.Parts[1].Bores = bores
		// the wedge off by a rectangular error in each of its components
		x, y := -float64(shim.Rise)+within*(2*rng.Float64()-1), within*(2*rng.Float64()-1)
		made := shim
		made.Rise, made.Clock = Length(math.Hypot(x, y)), Clock(x, y)
		after, err := made.Apply(s)
		if err != nil {
			t.Fatal(err)
		}
		r, _, err := after.Ranges([]align.Output{{What: align.OffsetX, Of: "plate/seat", From: "line"}, {What: align.OffsetY, Of: "plate/seat", From: "line"}})
		if err != nil {
			t.Fatal(err)
		}
		for k, want := range []Length{d.After.X, d.After.Y} {
			read := 2*r[k].Rest.Value + 0.002*rng.NormFloat64()
			if math.Abs(read-2*float64(want)) <= float64(d.U) {
				hit[k]++
			}
		}
	}
	for k, h := range hit {
		// 95.4 % of a normal law, a little more of one with a rectangular part; three standard errors of the count are 1 %
		if p := float64(h) / n; p < 0.944 || p > 0.99 {
			t.Errorf("component %d: %.4f of the readings are within ± %v", k, p, d.U)
		}
	}
}

// A reading expected at nothing is no surer than one elsewhere: the uncertainty of a size near zero is that of its components.
//
// Source: hand calculation: two sweeps of eight readings give each component u·√(2·2/8), so that the TIR has 2·2·u·√(1/2).
func TestDial_nearZero(t *testing.T) {
	const u = 0.003
	b := sweptPair(u, 0.1)
	b.Stack.Candidates = nil
	a, err := advise.Correct(context.Background(), b, advise.Shop{})
	if err != nil {
		t.Fatal(err)
	}
	o, err := a.Try(context.Background(), advise.Correction{Kind: advise.Sleeve, Place: "plate/seat", By: 0.1, Clock: 270 * Degree})
	if err != nil {
		t.Fatal(err)
	}
	d, err := a.Expect(o)
	if err != nil {
		t.Fatal(err)
	}
	before, after := d.TIRs()
	if math.Abs(float64(before)-0.2) > 1e-9 || float64(after) > 1e-9 || math.Abs(float64(d.U)-4*u*math.Sqrt(0.5)) > 1e-6 {
		t.Errorf("TIR %v to %v ± %v", before, after, float64(d.U))
	}
}
