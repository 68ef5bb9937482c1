package tolerance_test

import (
	"encoding/json"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"math"
	"strings"
	"testing"

	"example.com/borestack/tolerance"
)

func ExampleLength() {
	gap := 12*tolerance.Micrometre + 0.003*tolerance.Inch
	fmt.Println(gap, gap.Format(tolerance.Thousandths))
	// Output: 0.0882 mm 3.47 thou
}

func ExampleTIR() {
	dial := tolerance.TIR(5 * tolerance.Thou)
	fmt.Println(dial, "is", dial.Offset())
	// Output: 0.127 mm TIR is 0.0635 mm offset
}

// Source: international yard and pound agreement, 1959: 1 in = 25.4 mm exactly.
func TestLength_exactUnits(t *testing.T) {
	for _, c := range []struct{ got, want float64 }{
		{float64(tolerance.Inch), 25.4},
		{tolerance.Inch.Thous(), 1000},
		{tolerance.Length(12.7).Inches(), 0.5},
		{tolerance.Metre.Millimetres(), 1000},
		{tolerance.Length(0.0254).In(tolerance.Thousandths), 1},
		{tolerance.Length(1).Micrometres(), 1000},
	} {
		if math.Abs(c.got-c.want) > 1e-15*c.want {
			t.Errorf("%v, want %v", c.got, c.want)
		}
	}
}

// Source: hand calculation: clock angles run clockwise from +y.
func TestAngle_units(t *testing.T) {
	for _, c := range []struct{ x, y, deg float64 }{{0, 1, 0}, {1, 0, 90}, {0, -1, 180}, {-1, 0, 270}, {-1e-300, 1, 0}, {0, 0, 0}} {
		if got := tolerance.Clock(c.x, c.y).Degrees(); math.Abs(got-c.deg) > 1e-12 {
			t.Errorf("clock of (%v, %v): %v", c.x, c.y, got)
		}
	}
	for deg, want := range map[float64]string{0: "12 o'clock", 120: "4 o'clock", 135: "half past 4", 359: "12 o'clock"} {
		if got := (tolerance.Angle(deg) * tolerance.Degree).Hours(); got != want {
			t.Errorf("%v°: %q, want %q", deg, got, want)
		}
	}
}

func TestParseLength(t *testing.T) {
	for s, want := range map[string]tolerance.Length{
		"0.012 mm": 0.012, "12 um": 12 * tolerance.Micrometre, "12 µm": 12 * tolerance.Micrometre, "0.5 in": 12.7, "3 thou": 3 * tolerance.Thou, "-1e-3mm": -0.001, "2 m": 2000,
	} {
		if got, err := tolerance.ParseLength(s); err != nil || math.Abs(float64(got-want)) > 1e-15 {
			t.Errorf("%q: %v, %v", s, got, err)
		}
	}
	for _, s := range []string{"", "12", "mm", "1,5 mm", "NaN mm", "Inf mm", "1e999 mm", "3 inches", "0x1p3 mm", "1 2 mm"} {
		if v, err := tolerance.ParseLength(s); err == nil {
			t.Errorf("%q: accepted as %v", s, v)
		}
	}
}

// The four readings of one number do not mix: the compiler refuses it.
func TestTypes_doNotMix(t *testing.T) {
	imp := importer.ForCompiler(token.NewFileSet(), "source", nil)
	check := func(expr string) error {
		src := "package p\nimport \"example.com/borestack/tolerance\"\nvar _ tolerance.Offset = " + expr
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, "p.go", src, 0)
		if err != nil {
			t.Fatal(err)
		}
		conf := types.Config{Importer: imp}
		_, err = conf.Check("p", set, []*ast.File{f}, nil)
		return err
	}
	if err := check("tolerance.TIR(1).Offset()"); err != nil {
		t.Fatal(err)
	}
	for _, bad := range []string{"tolerance.TIR(1)", "tolerance.Length(1)", "tolerance.Diametral(1)", "tolerance.Radial(1)", "tolerance.TIR(1) / 2"} {
		if check(bad) == nil {
			t.Errorf("an offset takes %s", bad)
		}
	}
	if tolerance.TIR(0.2).Offset().TIR() != 0.2 || tolerance.Diametral(0.2).Radial() != 0.1 {
		t.Error("conversion")
	}
}

func TestLimits(t *testing.T) {
	zero := tolerance.Limits{Least: tolerance.Given(0.0)}
	if zero.Decide(-0.001, 0, tolerance.GuardFactor95) != tolerance.Fail {
		t.Error("a limit of 0 is no limit")
	}
	if (tolerance.Limits{}).Decide(-1, 0, 1) != tolerance.NoLimit {
		t.Error("no limit decides")
	}
	if zero.Decide(0, 0, 1) != tolerance.Pass {
		t.Error("on the limit without uncertainty")
	}
	// Source: JCGM 106:2012, 8.3.2: a guard band of 1.65 u for 95 % at one limit.
	for v, want := range map[float64]tolerance.Decision{0.0166: tolerance.Pass, 0.0164: tolerance.Undecided, -0.0164: tolerance.Undecided, -0.0166: tolerance.Fail} {
		if got := zero.Decide(v, 0.01, tolerance.GuardFactor95); got != want {
			t.Errorf("%v ± 0.01: %v, want %v", v, got, want)
		}
	}
	if err := (tolerance.Limits{Least: tolerance.Given(2.0), Greatest: tolerance.Given(1.0)}).Validate(); err == nil {
		t.Error("least above greatest")
	}
	if err := (tolerance.Limits{Least: tolerance.Given(math.NaN())}).Validate(); err == nil {
		t.Error("not finite")
	}
	var o tolerance.Optional[float64]
	if b, _ := json.Marshal(o); string(b) != "null" {
		t.Error(string(b))
	}
	if json.Unmarshal([]byte("0"), &o) != nil || !o.Given || o.Or(3) != 0 {
		t.Error("a given zero does not count")
	}
}

func TestMaterials(t *testing.T) {
	seen := map[string]bool{}
	for _, m := range tolerance.Materials() {
		if m.Source == "" || m.Expansion < 5e-6 || m.Expansion > 30e-6 || seen[m.Name] {
			t.Errorf("%+v", m)
		}
		if m.Modulus.Value < 40e3 || m.Modulus.Value > 220e3 || m.Poisson.Value < 0.2 || m.Poisson.Value > 0.4 {
			t.Errorf("%+v", m)
		}
		seen[m.Name] = true
	}
	// Source: hand calculation: 100 mm by 60 K, die-cast alloy 21.8 and steel 11.5 per million: 130.8 and 69.0 µm apart by 61.8.
	a, err1 := tolerance.MaterialNamed("A380")
	s, err2 := tolerance.MaterialNamed("Steel")
	if err1 != nil || err2 != nil || math.Abs((a.Expansion-s.Expansion)*100*60-0.0618) > 1e-12 {
		t.Error(a, s, err1, err2)
	}
	if _, err := tolerance.MaterialNamed("cast irn"); err == nil || !strings.Contains(err.Error(), "iron") {
		t.Error(err)
	}
}

func TestNearest(t *testing.T) {
	if n, ok := tolerance.Nearest("diametre", []string{"z", "diameter", "dowels"}); !ok || n != "diameter" {
		t.Error(n, ok)
	}
	if n, ok := tolerance.Nearest("quite else", []string{"z", "diameter"}); ok {
		t.Error(n)
	}
}

func FuzzParseLength(f *testing.F) {
	f.Add("0.012 mm")
	f.Add("1,5 in")
	f.Fuzz(func(t *testing.T, s string) {
		l, err := tolerance.ParseLength(s)
		if err != nil {
			return
		}
		back, err := tolerance.ParseLength(fmt.Sprintf("%v mm", float64(l)))
		if err != nil || back != l {
			t.Fatalf("%q: %v then %v, %v", s, float64(l), float64(back), err)
		}
	})
}

func TestLimits_short(t *testing.T) {
	for _, c := range []struct{ got, want tolerance.Limits }{
		{tolerance.AtLeast(0), tolerance.Limits{Least: tolerance.Given(0.0)}},
		{tolerance.AtMost(2), tolerance.Limits{Greatest: tolerance.Given(2.0)}},
		{tolerance.Between(-1, 0), tolerance.Limits{Least: tolerance.Given(-1.0), Greatest: tolerance.Given(0.0)}},
	} {
		if c.got != c.want {
			t.Errorf("%+v, want %+v", c.got, c.want)
		}
	}
}

// The room that limits leave is the distance to the nearer one, negative outside.
//
// Source: hand calculation.
func TestLimits_Room(t *testing.T) {
	for _, c := range []struct {
		l       tolerance.Limits
		v, want float64
		limited bool
	}{
		{tolerance.AtLeast(1), 3, 2, true},
		{tolerance.AtLeast(1), 0.5, -0.5, true},
		{tolerance.AtMost(1), 0.25, 0.75, true},
		{tolerance.AtMost(1), 3, -2, true},
		{tolerance.Between(1, 5), 2, 1, true},
		{tolerance.Between(1, 5), 4.5, 0.5, true},
		{tolerance.Between(1, 5), 8, -3, true},
		{tolerance.Between(1, 5), -1, -2, true},
		{tolerance.Limits{}, 7, math.Inf(1), false},
	} {
		if got, limited := c.l.Room(c.v); got != c.want || limited != c.limited {
			t.Errorf("%+v at %v: %v, %v, want %v", c.l, c.v, got, limited, c.want)
		}
	}
}

// A length is read with its unit, which is never guessed.
func ExampleParseLength() {
	for _, s := range []string{"3 thou", "12 um", "1,5 mm", "0.3"} {
		l, err := tolerance.ParseLength(s)
		fmt.Println(l, err)
	}
	// Output:
	// 0.0762 mm <nil>
	// 0.012 mm <nil>
	// 0 mm tolerance: "1,5 mm": decimal comma: want a decimal point, a length such as "0.012 mm" or "3 thou"
	// 0 mm tolerance: "0.3": no unit: want a length such as "0.012 mm" or "3 thou"
}
