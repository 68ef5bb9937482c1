package advise_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/fault"
	. "example.com/borestack/tolerance"
)

// Source: Dodge Dakota technical service bulletin, 1989, offset dowel chart: TIR 11 to 21 thou takes the 7 thou dowel, 22 to 35 the 14, 36 to 52 the 21; up to 10 is accepted, over 52 the housing is replaced. Residuals at the bands' ends: hand calculation |TIR - 2·step|.
func TestDowelStep_chart(t *testing.T) {
	stock := []Offset{Offset(7 * Thou), Offset(14 * Thou), Offset(21 * Thou)}
	for tir := 0; tir <= 60; tir++ {
		want := 0
		switch {
		case tir > 52:
			want = -1
		case tir >= 36:
			want = 21
		case tir >= 22:
			want = 14
		case tir >= 11:
			want = 7
		}
		got, err := advise.DowelStep(TIR(Length(tir)*Thou), TIR(10*Thou), stock)
		switch {
		case want < 0:
			if !errors.Is(err, advise.ErrNotPossible) {
				t.Errorf("TIR %d: %v, %v", tir, got, err)
			}
		case err != nil || !check.Close(got.Step.Length(), Length(want)*Thou, 1e-9):
			t.Errorf("TIR %d: %v, %v, want the %d", tir, got.Step, err, want)
		}
	}
	for tir, residual := range map[Length]Length{11: 3, 21: 7, 22: 6, 35: 7, 36: 6, 52: 10} {
		if got, _ := advise.DowelStep(TIR(tir*Thou), TIR(10*Thou), stock); !check.Close(got.Residual.Length(), residual*Thou, 1e-9) {
			t.Errorf("TIR %v leaves %v, want %v", tir, got.Residual, residual)
		}
	}
	if _, err := advise.DowelStep(TIR(math.NaN()), 0, stock); !errors.Is(err, fault.ErrNotFinite) {
		t.Error(err)
	}
}

// Source: Dodge Ram 3500 service information, 2002, clutch housing face runout: corners +9, 0, -3, -4 thou, shims 0, 9, 12, 13. Twist by the order of the corners: hand calculation |a - b + c - d|/4 = 2.5, 2 or 4 thou.
func TestCornerShims_housing(t *testing.T) {
	corner := func(x, y, thou Length) advise.Corner {
		return advise.Corner{At: align.Vec2{X: x, Y: y}, Reading: thou * Thou}
	}
	for _, c := range []struct {
		readings [4]Length
		twist    Length
	}{{[4]Length{9, 0, -3, -4}, 2.5}, {[4]Length{9, 0, -4, -3}, 2}, {[4]Length{9, -3, 0, -4}, 4}} {
		r := c.readings
		got, err := advise.CornerShims([]advise.Corner{corner(-150, 150, r[0]), corner(150, 150, r[1]), corner(150, -150, r[2]), corner(-150, -150, r[3])})
		if err != nil {
			t.Fatal(err)
		}
		least := Length(math.Inf(1))
		for i, s := range got {
			if !check.Close(s.Raw, (9-r[i])*Thou, 1e-9) || !check.Close(Length(math.Abs(float64(s.Left))), c.twist*Thou, 1e-9) {
				t.Errorf("%v, corner %d: %+v, want %v raw and a twist of %v", r, i, s, 9-r[i], c.twist)
			}
			least = min(least, s.Plane)
		}
		if !check.Close(least, 0, 1e-9) {
			t.Errorf("%v: the thinnest corner has a shim of %v", r, least)
		}
		// a plane: what is opposite sums alike
		if !check.Close(got[0].Plane+got[2].Plane, got[1].Plane+got[3].Plane, 1e-9) {
			t.Errorf("%v: plane shims %v are no plane", r, got)
		}
	}
	if _, err := advise.CornerShims([]advise.Corner{{}, {}}); !errors.Is(err, fault.ErrOutOfRange) {
		t.Error(err)
	}
}

// Source: Eaton FSO-2105 service manual, shim pack, p. 95: end play 0.06 to 0.11, gap 0.47 takes a pack of 0.36 to 0.41; gap 0.02 is not valid, measure again.
func TestChooseShim_pack(t *testing.T) {
	want := advise.EndPlay{Least: 0.06, Greatest: 0.11}
	stock := advise.ShimStock{Sizes: []Length{0.1, 0.12, 0.15, 0.2, 0.3}, Pieces: 3}
	got, err := advise.ChooseShim(0.47, 0.005, want, stock)
	if err != nil || !check.Close(got.Window[0], 0.36, 1e-9) || !check.Close(got.Window[1], 0.41, 1e-9) {
		t.Fatalf("%+v, %v", got, err)
	}
	// nearest to 0.385 in the middle: 0.2 + 0.2 is 0.015 off, 0.12 + 0.12 + 0.15 is 0.005 off
	if !check.Close(got.Sum, 0.39, 1e-9) || !check.Close(got.Play, 0.08, 1e-9) || len(got.Pack) != 3 {
		t.Errorf("pack %v", got)
	}
	if _, err := advise.ChooseShim(0.02, 0.005, want, stock); !errors.Is(err, advise.ErrNotValid) {
		t.Errorf("gap 0.02: %v", err)
	}
	if got, err := advise.ChooseShim(0.3, 0.005, want, advise.ShimStock{Sizes: []Length{0.5}}); !errors.Is(err, advise.ErrNotPossible) || len(got.Pack) != 0 {
		t.Errorf("nothing that fits: %+v, %v", got, err)
	}
}

// Source: Honda Accord 2009 and Civic service manuals, thrust clearance: gap 1.93, middle of the specification 0.14, so 1.79: 1.78 or 1.80 by what is in stock.
func TestChooseShim_nearest(t *testing.T) {
	want := advise.EndPlay{Least: 0.11, Greatest: 0.17}
	for _, c := range []struct {
		stock []Length
		shim  Length
	}{{[]Length{1.72, 1.75, 1.78, 1.81, 1.84}, 1.78}, {[]Length{1.77, 1.80, 1.83}, 1.80}, {[]Length{1.80, 1.78}, 1.78}} {
		got, err := advise.ChooseShim(1.93, 0, want, advise.ShimStock{Sizes: c.stock})
		if err != nil || !check.Close(got.Sum, c.shim, 1e-9) || got.Agrees != 1 {
			t.Errorf("of %v: %+v, %v, want %v", c.stock, got, err, c.shim)
		}
	}
}

// Source: Honda Civic 1999 service manual, secondary shaft thrust shim: 32.7 - 30.1 + 0.5 of gasket is 3.1. The chain does the sum, and the gasket is part of the stack.
func TestBox_ShimFor_chain(t *testing.T) {
	s := align.Stack{
		Parts:  []align.Part{{Name: "housing", Front: &align.Face{}, Rear: &align.Face{Z: 32.7}}, {Name: "cover", Front: &align.Face{}}},
		Joints: []align.Joint{{Gasket: &align.Gasket{Thickness: 0.5}, Float: &align.Float{}, Pins: nil, Bolts: []align.Vec2{{X: 50}, {X: -50}}, BoltClearance: Given[Diametral](1)}},
		Chains: []align.Chain{{Name: "shim", Links: []align.Link{{Name: "depth", From: "housing/front", To: "cover/front"}, {Name: "bearing", Length: 30.1, Gain: Given(-1.0)}}, Least: Given[Length](0), Greatest: Given[Length](0.05)}},
	}
	got, err := advise.Box{Stack: s}.ShimFor("shim", advise.ShimStock{Sizes: []Length{3.0, 3.05, 3.1, 3.15}})
	if err != nil || !check.Close(got.Window[1], 3.1, 1e-9) {
		t.Fatalf("%+v, %v", got, err)
	}
	if !check.Close(got.Sum, 3.1, 1e-9) && !check.Close(got.Sum, 3.05, 1e-9) {
		t.Errorf("shim %v", got.Sum)
	}
	if _, err := (advise.Box{Stack: s}).ShimFor("shm", advise.ShimStock{}); !errors.Is(err, fault.ErrUnknownName) {
		t.Error(err)
	}
}

// Source: Ducati ST2 workshop manual, shaft shims: total d1 + d2 + preload - L; side 1 d1 + preload/2 - L/2; side 2 the rest. Rounded down to 0.05: 2.26 to 2.25, 2.28 to 2.25, 2.33 to 2.30 (from an excerpt without an address).
func TestSplitShims_twoHalves(t *testing.T) {
	got, err := advise.SplitShims(75.2, 75.35, 146, 0.15, 0)
	if err != nil || !check.Close(got.Total, 4.7, 1e-9) || !check.Close(got.Side1, 2.275, 1e-9) || !check.Close(got.Side2, 2.425, 1e-9) {
		t.Errorf("%+v, %v", got, err)
	}
	for side, want := range map[Length]Length{2.26: 2.25, 2.28: 2.25, 2.33: 2.30, 2.30: 2.30} {
		got, err := advise.SplitShims(side+70, 75, 140, 0, 0.05)
		if err != nil || !check.Close(got.Side1, want, 1e-9) {
			t.Errorf("%v rounds to %v, %v, want %v", side, got.Side1, err, want)
		}
	}
	if _, err := advise.SplitShims(60, 60, 140, 0, 0.05); !errors.Is(err, advise.ErrNotValid) {
		t.Error(err)
	}
}

// The probability that a re-measurement agrees, in the middle of a band of ±k and at its edge.
//
// Source: hand calculation: Φ(k) - Φ(-k) with k = 0.025/(√2·0.005) = 3.5355, 0.999593; at the edge one half.
func TestChooseShim_agrees(t *testing.T) {
	want := advise.EndPlay{Least: 0.06, Greatest: 0.11}
	got, err := advise.ChooseShim(0.485, 0.005, want, advise.ShimStock{Sizes: []Length{0.4}})
	if err != nil || math.Abs(got.Agrees-0.999593) > 1e-6 {
		t.Errorf("%+v, %v", got, err)
	}
	if got, err = advise.ChooseShim(0.46, 0.005, want, advise.ShimStock{Sizes: []Length{0.4}}); err != nil || math.Abs(got.Agrees-0.5) > 1e-9 {
		t.Errorf("at the edge: %+v, %v", got, err)
	}
}

// Of several numbers that are wrong all are named, in one order: the same question gets the same answer.
func TestCharts_everyFault(t *testing.T) {
	nan := Length(math.NaN())
	for range 20 {
		_, shim := advise.ChooseShim(nan, nan, advise.EndPlay{Least: nan, Greatest: nan}, advise.ShimStock{})
		_, split := advise.SplitShims(nan, nan, nan, nan, nan)
		_, dowel := advise.DowelStep(TIR(nan), TIR(nan), nil)
		for err, names := range map[error][]string{shim: {"gap", "least", "greatest", "u"}, split: {"d1", "d2", "length", "preload", "step"}, dowel: {"tir", "accept"}} {
			lines := strings.Split(err.Error(), "\n")
			if len(lines) != len(names) || !errors.Is(err, fault.ErrNotFinite) {
				t.Fatalf("%v: want %v", err, names)
			}
			for i, name := range names {
				if !strings.Contains(lines[i], name) {
					t.Fatalf("%q in place of %s", lines[i], name)
				}
			}
		}
	}
}
