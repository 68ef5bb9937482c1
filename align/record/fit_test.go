package record_test

import (
	"bytes"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// fitted is the shop's record (in inches) whose front bearing has a fit in place of its clearance.
func fitted(t *testing.T, with, more string) (*record.Record, error) {
	t.Helper()
	text, err := os.ReadFile("../../testdata/records/shop-plates.json")
	if err != nil {
		t.Fatal(err)
	}
	s := string(text)
	at := strings.Index(s, `"bore": "case/front",`)
	from := at + strings.Index(s[at:], `"clearance"`)
	to := from + strings.IndexAny(s[from:], ",}\n")
	return record.Decode(strings.NewReader(strings.Replace(s[:from]+with+s[to:], `"units"`, more+`"units"`, 1)))
}

// Source: ISO 286-2:2010, 35 H7 (+0.025, 0) and g6 (-0.009, -0.025), from memory: 0.009 to 0.050 mm, in the middle 0.0295.
func TestFit_isAClearance(t *testing.T) {
	r, err := fitted(t, `"fit": "35 H7/g6"`, `"vary": [{"name": "v", "at": "/shafts/0/supports/0/fit", "law": {"fit": "35 H7/g6"}}], `)
	if err != nil {
		t.Fatal(err)
	}
	s, err := r.Stack()
	if err != nil {
		t.Fatal(err)
	}
	if c := float64(s.Shafts[0].Supports[0].Clearance); math.Abs(c-0.0295) > 1e-12 {
		t.Errorf("a clearance of %v, want 0.0295", c)
	}
	all, err := r.Numbers(nil)
	if err != nil {
		t.Fatal(err)
	}
	moves, err := all.Moves("/shafts/0/supports/0/fit")
	if err != nil || len(moves) != 1 || moves[0].Gain != 25.4 {
		t.Errorf("%v, %v", moves, err)
	}
	var b bytes.Buffer
	if err := r.Encode(&b); err != nil {
		t.Fatal(err)
	}
	again, err := record.Decode(&b)
	if err != nil || again.Shafts[0].Supports[0].Fit.Text != "35 H7/g6" || again.Shafts[0].Supports[0].Clearance.Text != "" {
		t.Errorf("%+v, %v", again, err)
	}
}

func TestFit_filledIn(t *testing.T) {
	r, err := fitted(t, `"fit": "35 H7/g6"`, "")
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := r.Encode(&b); err != nil {
		t.Fatal(err)
	}
	r, _, err = record.Fill(&b, strings.NewReader("place,reading [mm]\nclearance of case/front,0.0254\n"))
	if err != nil || r.Shafts[0].Supports[0].Fit != nil || r.Shafts[0].Supports[0].Clearance.Value != 0.001 {
		t.Errorf("%+v, %v", r, err)
	}
}

func TestFit_faults(t *testing.T) {
	for with, c := range map[string]struct {
		at, want string
		class    error
	}{
		`"fit": "35 H7/g6", "clearance": 0.001`: {"/fit", "clearance or fit", fault.ErrConflict},
		`"width": 1`:                            {"/clearance", "this key, or fit", fault.ErrMissing},
		`"fit": "35 H7/s6"`:                     {"/fit", "leaves room", fault.ErrOutOfRange},
		`"fit": "35 G7"`:                        {"/fit", "two classes", fault.ErrConflict},
		`"fit": "35"`:                           {"/fit", "two classes", fault.ErrSyntax},
		`"fit": "9000 H7/g6"`:                   {"/fit", "", fault.ErrOutOfRange},
		`"fit": {"hole": "H7"}`:                 {"/fit", "35 H7/g6", nil},
	} {
		_, err := fitted(t, with, "")
		var f *fault.FieldError
		if !errors.As(err, &f) || f.Path != "/shafts/0/supports/0"+c.at || !strings.Contains(f.Want, c.want) || c.class != nil && !errors.Is(err, c.class) {
			t.Errorf("%s: %v", with, err)
		}
	}
}

// classed is an invented box whose registers, pins and pocket are given by their classes.
const classed = `{"format": "borestack-record/1", "units": {"length": "mm"},
"parts": [
 {"name": "case", "rear": {"z": 180, "pilot": {"kind": "bore", "centre": [0, 0], "fit": "150 H7"}, "dowels": [{"name": "d", "centre": [0, 90], "fit": "10 H7"}]}, "bores": [{"name": "a", "centre": [0, 0, 20]}, {"name": "b", "centre": [0, 0, 150]}]},
 {"name": "tail", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "fit": "150 g6"}, "dowels": [{"name": "d", "centre": [0, 90], "diameter": 10.2}]}, "bores": [{"name": "bush", "centre": [0, 0, 230]}, {"name": "end", "centre": [0, 0, 330]}]}],
"joints": [{"pins": [{"dowel": "d", "fit": "10 m6", "pressed": "front"}], "lies": "rest"}],
"shafts": [{"name": "in", "supports": [{"bore": "case/a", "clearance": 0.1}, {"bore": "case/b", "clearance": 0.1}]}, {"name": "out", "supports": [{"bore": "tail/bush", "clearance": 0.1}, {"bore": "tail/end", "clearance": 0.1}]}],
"pockets": [{"name": "nose", "between": ["in", "out"], "z": 300, "fit": "16 F7/h6"}],
"vary": [{"name": "spigots", "at": "/parts/1/front/pilot/fit", "law": {"fit": "150 g6"}}]}`

// Source: ISO 286-2:2010, from memory, in µm: 150 H7 (+40, 0), 150 g6 (-14, -39), 10 H7 (+15, 0), 10 m6
// (+15, +6), 16 F7 (+34, +16), 16 h6 (0, -11). Hand calculation: the middles, and a sixth of the tolerance.
func TestFit_ofDiameters(t *testing.T) {
	r, err := record.Decode(strings.NewReader(classed))
	if err != nil {
		t.Fatal(err)
	}
	s, err := r.Stack()
	if err != nil {
		t.Fatal(err)
	}
	for name, q := range map[string][2]float64{
		"bore":   {float64(s.Parts[0].Rear.Pilot.Diameter), 150.02},
		"spigot": {float64(s.Parts[1].Front.Pilot.Diameter), 149.9735},
		"hole":   {float64(s.Parts[0].Rear.Dowels[0].Diameter), 10.0075},
		"pin":    {float64(s.Joints[0].Pins[0].Diameter), 10.0105},
		"pocket": {float64(s.Pockets[0].Clearance), 0.0305},
	} {
		if math.Abs(q[0]-q[1]) > 1e-10 {
			t.Errorf("%s: %v, want %v", name, q[0], q[1])
		}
	}
	l, _, err := r.Vary[0].Distribution(tolerance.Millimetre)
	if err != nil {
		t.Fatal(err)
	}
	least, greatest := l.Support()
	if sd := l.Moments().SD(); math.Abs(sd-0.025/6) > 0.02*0.025/6 || math.Abs(greatest-0.0125) > 1e-10 || least != -greatest { // cut off at three deviations, 1.4 % less
		t.Errorf("%v, %v, %v", sd, least, greatest)
	}
	said := r.Fits()
	if len(said) != 5 || said[2].Path != "/parts/1/front/pilot/fit" || said[2].Text != `the diameter of the front pilot of tail is the middle of its fit 150 g6, 149.9735 mm` {
		t.Errorf("%v", said)
	}
	all, err := r.Numbers(nil)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range said {
		if m, err := all.Moves(f.Path); err != nil || len(m) != 1 {
			t.Errorf("%s: %v, %v", f.Path, m, err)
		}
	}
	var b bytes.Buffer
	if err := r.Encode(&b); err != nil || strings.Contains(b.String(), `"diameter": 0`) || strings.Count(b.String(), `"fit"`) != 6 {
		t.Errorf("%v\n%s", err, b.String())
	}
}

// A doubt about a register by its classes rests on the classes: heavier than any press fit.
func TestFit_inDoubt(t *testing.T) {
	r, err := record.Decode(strings.NewReader(strings.Replace(classed, "150 H7", "149 H7", 1)))
	if err != nil {
		t.Fatal(err)
	}
	d := r.Doubts()
	if len(d) != 1 || len(d[0].Numbers) != 2 || d[0].Numbers[0] != "/parts/0/rear/pilot/fit" || d[0].Numbers[1] != "/parts/1/front/pilot/fit" {
		t.Errorf("%v", d)
	}
}

func TestFit_faultsOfDiameters(t *testing.T) {
	for with, c := range map[string]struct{ old, at, want string }{
		`"fit": "150 h7"`:                      {`"fit": "150 H7"`, "/parts/0/rear/pilot/fit", "bore"},
		`"fit": "150 G6"`:                      {`"fit": "150 g6"`, "/parts/1/front/pilot/fit", "spigot"},
		`"fit": "150 H7/g6"`:                   {`"fit": "150 H7"`, "/parts/0/rear/pilot/fit", "a class"},
		`"fit": "10 M6"`:                       {`"fit": "10 m6"`, "/joints/0/pins/0/fit", "shafts"},
		`"fit": "10 h7"`:                       {`"fit": "10 H7"`, "/parts/0/rear/dowels/0/fit", "holes"},
		`"fit": "16 F7"`:                       {`"fit": "16 F7/h6"`, "/pockets/0/fit", "two classes"},
		`"fit": "10 H7", "diameter": 10`:       {`"fit": "10 H7"`, "/parts/0/rear/dowels/0/fit", "diameter or fit"},
		`"fit": "16 F7/h6", "clearance": 0.03`: {`"fit": "16 F7/h6"`, "/pockets/0/fit", "clearance or fit"},
		`"pressed": "front"`:                   {`"fit": "10 m6", "pressed": "front"`, "/joints/0/pins/0/diameter", "this key, or fit"},
	} {
		_, err := record.Decode(strings.NewReader(strings.Replace(classed, c.old, with, 1)))
		var f *fault.FieldError
		if !errors.As(err, &f) || f.Path != c.at || !strings.Contains(f.Want, c.want) {
			t.Errorf("%s: %v", with, err)
		}
	}
}

// A warning of a clearance that a fit gives points to the fit: there is no clearance in the record.
func TestRecord_Warnings_ofAFit(t *testing.T) {
	r, err := record.Decode(strings.NewReader(`{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [{"name": "bed", "bores": [{"name": "a", "centre": [0, 0, 5], "diameter": 6}, {"name": "b", "centre": [0, 0, 90]}]}],
 "joints": [], "shafts": [{"name": "main", "supports": [{"bore": "bed/a", "fit": "10 H11/d11"}, {"bore": "bed/b", "clearance": 0.1}]}]}`))
	if err != nil {
		t.Fatal(err)
	}
	if w := r.Warnings(); len(w) != 1 || w[0].Path != "/shafts/0/supports/0/fit" {
		t.Error(w)
	}
}
