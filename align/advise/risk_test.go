package advise_test

import (
	"encoding/csv"
	"errors"
	"math"
	"os"
	"strconv"
	"testing"

	"example.com/borestack/align/advise"
	"example.com/borestack/fault"
	. "example.com/borestack/tolerance"
)

func limits(least, greatest float64) Limits {
	return Limits{Least: Given(least), Greatest: Given(greatest)}
}

// Source: JCGM 106:2012, 9.5.2; the file says how it was computed.
func TestGlobalRisks_table(t *testing.T) {
	f, err := os.Open("testdata/conformity_risks.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, row := range rows[1:] {
		var v []float64
		for _, c := range row {
			x, err := strconv.ParseFloat(c, 64)
			if err != nil {
				t.Fatal(err)
			}
			v = append(v, x)
		}
		accept, err := advise.Guarded(limits(v[0], v[1]), v[5])
		if err != nil {
			t.Fatal(err)
		}
		got, err := advise.GlobalRisks(limits(v[0], v[1]), accept, advise.Process{Mean: v[2], SD: v[3]}, v[4])
		if err != nil {
			t.Fatal(err)
		}
		for what, pair := range map[string][2]float64{"consumer": {got.Consumer, v[6]}, "producer": {got.Producer, v[7]}, "accepted": {got.Accepted, v[8]}} {
			if math.Abs(pair[0]-pair[1]) > 1e-9 {
				t.Errorf("%v: %s %.12f, want %.12f", row, what, pair[0], pair[1])
			}
		}
		// what conforms and is accepted is accounted for once
		if sum := got.Conform - got.Producer + got.Consumer; math.Abs(sum-got.Accepted) > 1e-9 {
			t.Errorf("%v: conforming less producer's plus consumer's is %v, accepted %v", row, sum, got.Accepted)
		}
	}
	if len(rows) != 49 {
		t.Errorf("%d rows", len(rows))
	}
}

// Source: JCGM 106:2012, examples of resistors (process N(1500, 0.12), limits 1500 ± 0.2, u 0.04; from memory, digits recomputed).
func TestGlobalRisks_resistors(t *testing.T) {
	spec := limits(1499.8, 1500.2)
	for _, c := range []struct{ half, consumer, producer float64 }{{0.2, 0.018942, 0.037208}, {0.18, 0.009878, 0.069027}, {0.180334058, 0.01, 0.0683841}} {
		got, err := advise.GlobalRisks(spec, limits(1500-c.half, 1500+c.half), advise.Process{Mean: 1500, SD: 0.12}, 0.04)
		if err != nil || math.Abs(got.Consumer-c.consumer) > 1e-6 || math.Abs(got.Producer-c.producer) > 1e-6 || math.Abs(got.Conform-0.904419) > 1e-6 {
			t.Errorf("±%v: %+v, %v", c.half, got, err)
		}
	}
	if _, err := advise.GlobalRisks(spec, spec, advise.Process{Mean: 1500}, 0.04); !errors.Is(err, fault.ErrOutOfRange) {
		t.Error(err)
	}
	if _, err := advise.GlobalRisks(spec, spec, advise.Process{Mean: math.NaN(), SD: 1}, 0.04); !errors.Is(err, fault.ErrNotFinite) {
		t.Error(err)
	}
}

// Source: JCGM 106:2012, table 1 (one-sided conformance probabilities) and the examples of oil, diode and container (from memory, digits recomputed).
func TestConforms_examples(t *testing.T) {
	for _, c := range []struct {
		l          Limits
		y, u, want float64
	}{
		{Limits{Greatest: Given(0.0)}, -0.841621, 1, 0.80},
		{Limits{Greatest: Given(0.0)}, -1.281552, 1, 0.90},
		{Limits{Greatest: Given(0.0)}, -1.644854, 1, 0.95},
		{Limits{Greatest: Given(0.0)}, -2.326348, 1, 0.99},
		{Limits{Greatest: Given(0.0)}, -3.090232, 1, 0.999},
		{limits(12.5, 16.3), 13.6, 1.8, 0.66263},
		{Limits{Greatest: Given(-5.40)}, -5.47, 0.05, 0.91924},
		{Limits{Least: Given(490.0)}, 507, 8.6, 0.97596},
		{limits(0, 1), 1, 0, 1},
		{limits(0, 1), 1.01, 0, 0},
	} {
		if got := advise.Conforms(c.l, c.y, c.u); math.Abs(got-c.want) > 1e-5 {
			t.Errorf("%+v: %v, want %v", c, got, c.want)
		}
	}
}

// Source: ISO 14253-1:2013 (k = 2) and ISO 14253-1:2017 (95 %, 1.65 u): limits 9.98 to 10.02, u 0.002; 10.0165 is not proved by the first, proved by the second (constructed; rules from memory).
func TestGuarded_rules(t *testing.T) {
	spec := limits(9.98, 10.02)
	old, err := advise.Guarded(spec, 2*0.002)
	if err != nil || math.Abs(old.Least.Value-9.984) > 1e-12 || math.Abs(old.Greatest.Value-10.016) > 1e-12 {
		t.Errorf("%v, %v", old, err)
	}
	young, err := advise.Guarded(spec, GuardFactor95*0.002)
	if err != nil || math.Abs(young.Least.Value-9.9833) > 1e-12 || math.Abs(young.Greatest.Value-10.0167) > 1e-12 {
		t.Errorf("%v, %v", young, err)
	}
	for l, want := range map[Limits]bool{old: false, young: true} {
		if room, _ := l.Room(10.0165); (room >= 0) != want {
			t.Errorf("10.0165 in %v: %v", l, room)
		}
	}
	if _, err := advise.Guarded(limits(0, 1), 0.6); !errors.Is(err, advise.ErrNotPossible) {
		t.Error(err)
	}
}

// A precise measurement outweighs the process, a poor one is outweighed; equal ones share.
//
// Source: hand calculation: inverse variances as weights (JCGM 106:2012, annex A).
func TestAfterProcess_weights(t *testing.T) {
	m, sd := advise.AfterProcess(advise.Process{Mean: 10, SD: 0.2}, 11, 0.2)
	if math.Abs(m-10.5) > 1e-12 || math.Abs(sd-0.2/math.Sqrt2) > 1e-12 {
		t.Error(m, sd)
	}
	if m, sd = advise.AfterProcess(advise.Process{Mean: 10, SD: 0.2}, 11, 0); m != 11 || sd != 0 {
		t.Error(m, sd)
	}
}

// Source: ASME Y14.5-2009, appendix B: holes 6.44, fasteners 6 (formula found in a public note; numbers from memory).
func TestFasteners_standard(t *testing.T) {
	if !near(advise.FloatingFastener(6.44, 6), 0.44) {
		t.Error(advise.FloatingFastener(6.44, 6))
	}
	sum, each := advise.FixedFastener(6.44, 6)
	if !near(sum, 0.44) || !near(each, 0.22) {
		t.Error(sum, each)
	}
	// Source: hand calculation, 2·√(dx² + dy²).
	for _, c := range [][3]Length{{0.01, 0.01, 0.0282842712475}, {0.03, 0.04, 0.1}, {0.09, 0.07, 0.2280350850198}} {
		if got := advise.Position(c[0], c[1]); !near(got, c[2]) {
			t.Errorf("position of %v: %v", c, got)
		}
	}
}

// Source: ISO 2692 and ASME Y14.5 (rules from memory): hole 10 +0.1/0, 0.2 at maximum material, actual 10.06 is allowed 0.26, so that 0.228 passes with the modifier and fails without. Hole 6.00, 0.1: gauge pin 5.90 (open textbook chapter). Pin 9.9, 0.05: 9.95. Outer boundary of the hole 10.1 + 0.2 + 0.1 = 10.4.
func TestMaximumMaterial_arithmetic(t *testing.T) {
	hole := advise.MaximumMaterial{Hole: true, Size: 10, Zone: 0.2, Span: 0.1}
	if got := hole.Allowed(10.06); !near(got, 0.26) || advise.Position(0.09, 0.07) > got || advise.Position(0.09, 0.07) < hole.Zone {
		t.Error(got)
	}
	if !near(hole.Virtual(), 9.8) || !near(hole.Resultant(), 10.4) || !near(hole.Allowed(10.3), 0.3) || !near(hole.Allowed(9.9), 0.2) {
		t.Error(hole.Virtual(), hole.Resultant())
	}
	if got := (advise.MaximumMaterial{Hole: true, Size: 6, Zone: 0.1}).Virtual(); !near(got, 5.9) {
		t.Error(got)
	}
	pin := advise.MaximumMaterial{Size: 9.9, Zone: 0.05, Span: 0.1}
	if !near(pin.Virtual(), 9.95) || !near(pin.Allowed(9.85), 0.1) || !near(pin.Resultant(), 9.65) {
		t.Error(pin.Virtual(), pin.Resultant())
	}
}
