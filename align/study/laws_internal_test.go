package study

import (
	"errors"
	"math"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// bed is an invented bed whose bore b varies by one law, held by its offset along x.
func bed(law, more string) string {
	return `{"format": "borestack-record/1", "units": {"length": "mm"},
"parts": [{"name": "bed", "bores": [{"name": "a", "centre": [0, 0, 0]}, {"name": "b", "centre": [3, 4, 100]}]}],
"joints": [], "references": [{"name": "axis", "axis": "bed/a"}],
"vary": [{"name": "v", "at": "/parts/0/bores/1/centre/0", "law": ` + law + more + `}],
"accept": [{"output": {"kind": "offset", "of": "bed/b"}, "greatest": 9}]}`
}

func decode(t *testing.T, text string) *record.Record {
	t.Helper()
	rec, err := record.Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// Every law means what the record's page says: mean, standard deviation and ends.
//
// Source: JCGM 101:2008, table 1 and 6.4 (uniform, triangular, trapezoidal, curvilinear, arcsine,
// Student); hand calculation from the densities for the others.
func TestInputOf_laws(t *testing.T) {
	inf := math.Inf(1)
	// Source: ISO 286-2:2010, 35 H7 (+0.025, 0) and g6 (-0.009, -0.025), from memory; hand calculation:
	// the variance of a normal law cut at ±k sd is 1 - 2 k φ(k) / (2 Φ(k) - 1).
	sd := math.Hypot(0.025, 0.016) / 6
	k := 0.0205 / sd
	fitSD := sd * math.Sqrt(1-2*k*math.Exp(-k*k/2)/math.Sqrt(2*math.Pi)/math.Erf(k/math.Sqrt2))
	for law, want := range map[string][4]float64{ // mean, sd, lowest, highest
		`{"normal": 0.2, "shift": 1}`:          {1, 0.2, -inf, inf},
		`{"uniform": 0.3, "shift": 1}`:         {1, 0.3 / math.Sqrt(3), 0.7, 1.3},
		`{"triangular": 0.3}`:                  {0, 0.3 / math.Sqrt(6), -0.3, 0.3},
		`{"trapezoidal": 0.3, "top": 0.5}`:     {0, 0.3 * math.Sqrt(1.25/6), -0.3, 0.3},
		`{"curvilinear": 0.3, "inexact": 0.1}`: {0, math.Sqrt(0.09/3 + 0.01/9), -0.4, 0.4},
		// hole 25 µm wide, shaft 16 µm: sd √(25² + 16²)/6 µm, cut at ± 20.5 µm, 4.14 sd, which takes 0.013 % off it
		`{"fit": "35 H7/g6"}`:                                   {0, fitSD, -0.0205, 0.0205},
		`{"arcsine": 0.3, "shift": -1}`:                         {-1, 0.3 / math.Sqrt2, -1.3, -0.7},
		`{"beta": 0.5, "shapes": [2, 3], "shift": 1}`:           {0.5 + 2.0/5, math.Sqrt(2 * 3 / (25 * 6.0)), 0.5, 1.5},
		`{"student": 0.2, "freedom": 4}`:                        {0, 0.2 * math.Sqrt2, -inf, inf},
		`{"lognormal": 0.2, "spread": 0.5, "shift": 1}`:         {1 + 0.2*math.Exp(0.125), 0.2 * math.Exp(0.125) * math.Sqrt(math.Expm1(0.25)), 1, inf},
		`{"weibull": 0.2, "shape": 1, "shift": 1}`:              {1.2, 0.2, 1, inf},
		`{"discrete": [-1, 0, 2], "weights": [1, 2, 1]}`:        {0.25, math.Sqrt(5.0/4 - 0.0625), -1, 2},
		`{"discrete": [0, 2], "shift": 1}`:                      {2, 1, 1, 3},
		`{"sample": [1, 2, 3, 6]}`:                              {3, math.Sqrt(14.0 / 4), 1, 6},
		`{"mixture": [{"uniform": 3}, {"discrete": [2]}]}`:      {1, math.Sqrt((3.0+4)/2 - 1), -3, 3},
		`{"mixture": [{"uniform": 3, "shift": 1}], "shift": 1}`: {2, math.Sqrt(3), -1, 5},
	} {
		in, err := inputOf(&decode(t, bed(law, "")).Vary[0], tolerance.Millimetre)
		if err != nil {
			t.Errorf("%s: %v", law, err)
			continue
		}
		m := in.Law.Moments()
		low, high := in.Law.Support()
		got := [4]float64{m.Mean, m.SD(), low, high}
		for i := range got {
			if !(got[i] == want[i] || math.Abs(got[i]-want[i]) < 1e-9) {
				t.Errorf("%s: mean, deviation and ends are %v, want %v", law, got, want)
				break
			}
		}
	}
}

// A worst case exists where the law is bounded, and only there.
func TestVary_worstCaseOfLaws(t *testing.T) {
	for law, greatest := range map[string]float64{ // of x; 0: none
		`{"normal": 0.1}`:                              0,
		`{"student": 0.1, "freedom": 5}`:               0,
		`{"lognormal": 0.1, "spread": 0.3}`:            0,
		`{"arcsine": 0.5}`:                             3.5,
		`{"sample": [-0.5, 1]}`:                        4,
		`{"mixture": [{"uniform": 1}]}`:                4,
		`{"mixture": [{"uniform": 1}, {"normal": 1}]}`: 0,
	} {
		list, err := Vary(t.Context(), decode(t, bed(law, "")), stackup.Settings{Samples: 100, Seed: 1})
		if err != nil {
			t.Errorf("%s: %v", law, err)
			continue
		}
		o := list[0].Outputs[0]
		if greatest == 0 {
			if o.Worst != nil || o.Unbounded != "v" {
				t.Errorf("%s: a worst case %+v of what is not bounded, by %q", law, o.Worst, o.Unbounded)
			}
			continue
		}
		// Source: hand calculation: the offset of (x, 4).
		if want := math.Hypot(greatest, 4); o.Worst == nil || math.Abs(o.Worst.Greatest.Value-want) > 1e-6 {
			t.Errorf("%s: worst case %+v, want %v", law, o.Worst, want)
		}
	}
}

// Limits that leave nothing of a law are an error with its place.
func TestVary_nothingLeft(t *testing.T) {
	_, err := Vary(t.Context(), decode(t, bed(`{"uniform": 0.1}`, `, "limits": [1, 2]`)), stackup.Settings{Samples: 10, Seed: 1})
	var f *fault.FieldError
	if !errors.As(err, &f) || f.Path != "/vary/0/law" {
		t.Error(err)
	}
}

// A gauge whose errors along x and y hang together is felt together: of an offset at (3, 4).
//
// Source: JCGM 100:2008, 5.2.2, eq. (13): u² = (3² sx² + 4² sy² + 2·3·4 r sx sy) / 5².
func TestJudge_correlatedGauge(t *testing.T) {
	const sx, sy = 0.002, 0.005
	text := strings.Replace(bed(`{"normal": [0.002, 0.005], "correlation": R}`, `, "because": "gauge"`), `"/parts/0/bores/1/centre/0"`, `["/parts/0/bores/1/centre/0", "/parts/0/bores/1/centre/1"]`, 1)
	for r, word := range map[float64]string{-1: "-1", -0.8: "-0.8", 0: "0", 0.6: "0.6", 1: "1"} {
		res, err := Run(t.Context(), decode(t, strings.Replace(text, "R}", word+"}", 1)))
		if err != nil {
			t.Fatal(err)
		}
		want := math.Sqrt(9*sx*sx+16*sy*sy+24*r*sx*sy) / 5
		if got := res.Verdicts[0].U; math.Abs(got-want) > 1e-3*want {
			t.Errorf("correlation %v: u = %v, want %v", r, got, want)
		}
	}
	// Source: hand calculation: the variance along (3, 4)/5 of an ellipse with half axes 0.01 at 12 o'clock (y) and 0.004.
	oval := strings.Replace(text, `{"normal": [0.002, 0.005], "correlation": R}`, `{"ellipse": [0.01, 0.004], "clock": 30}`, 1)
	res, err := Run(t.Context(), decode(t, oval))
	if err != nil {
		t.Fatal(err)
	}
	// a along clock 30: (sin 30, cos 30)
	along, across := (3*0.5+4*math.Sqrt(3)/2)/5, (3*math.Sqrt(3)/2-4*0.5)/5
	want := math.Sqrt(along*along*0.01*0.01/4 + across*across*0.004*0.004/4)
	if got := res.Verdicts[0].U; math.Abs(got-want) > 1e-3*want {
		t.Errorf("ellipse: u = %v, want %v", got, want)
	}
}
