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
		`"fit": "35 G7"`:                        {"/fit", "two classes", fault.ErrSyntax},
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
