package record_test

import (
	"bytes"
	"errors"
	"os"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
)

const (
	oneAt  = `"/shafts/0/supports/0/clearance"`
	pairAt = `["/parts/1/bores/0/centre/0", "/parts/1/bores/0/centre/1"]`
)

// varying is the shop's record with one source of variation.
func varying(t *testing.T, at, law, more string) (*record.Record, error) {
	t.Helper()
	text, err := os.ReadFile("../../testdata/records/shop-plates.json")
	if err != nil {
		t.Fatal(err)
	}
	base := string(text)
	if strings.Contains(base, `"vary"`) {
		t.Fatal("the shop's record varies already")
	}
	base = strings.Replace(base, `"units"`, `"vary": [{"name": "v", "at": `+at+`, "law": `+law+more+`}], "units"`, 1)
	return record.Decode(strings.NewReader(base))
}

// Every law reads, says itself with every number, and is written back as it was read.
func TestLaw_roundTrip(t *testing.T) {
	kinds := map[string]bool{}
	for law, c := range map[string]struct{ at, says string }{
		`{"normal":0.010}`:                               {oneAt, "normal 0.010"},
		`{"normal":0.01,"shift":-0.002}`:                 {oneAt, "normal 0.01, shifted by -0.002"},
		`{"normal":[0.01,2e-2],"correlation":-0.5}`:      {pairAt, "normal 0.01 and 2e-2, correlation -0.5"},
		`{"uniform":0.01}`:                               {oneAt, "uniform 0.01"},
		`{"triangular":0.01}`:                            {oneAt, "triangular 0.01"},
		`{"disc":0.01,"shift":[0.001,0]}`:                {pairAt, "disc 0.01, shifted by 0.001 and 0"},
		`{"ring":0.01}`:                                  {pairAt, "ring 0.01"},
		`{"ellipse":[0.02,0.01],"clock":30}`:             {pairAt, "ellipse 0.02 and 0.01, clock 30"},
		`{"trapezoidal":0.01,"top":0.5}`:                 {oneAt, "trapezoidal 0.01, top 0.5"},
		`{"curvilinear":0.01,"inexact":0.002}`:           {oneAt, "curvilinear 0.01, inexact 0.002"},
		`{"fit":"35 H7/g6"}`:                             {oneAt, "fit 35 H7/g6"},
		`{"arcsine":0.01}`:                               {oneAt, "arcsine 0.01"},
		`{"beta":0.01,"shapes":[2,3]}`:                   {oneAt, "beta 0.01, shapes 2 and 3"},
		`{"student":0.01,"freedom":7}`:                   {oneAt, "student 0.01, freedom 7"},
		`{"lognormal":0.01,"spread":0.3}`:                {oneAt, "lognormal 0.01, spread 0.3"},
		`{"weibull":0.01,"shape":2}`:                     {oneAt, "weibull 0.01, shape 2"},
		`{"discrete":[-0.01,0,0.01],"weights":[1,2,1]}`:  {oneAt, "discrete -0.01, 0, 0.01, weights 1, 2, 1"},
		`{"sample":[1e-3,-2e-3,0,0,3e-3,1e-3,2.0e-3]}`:   {oneAt, "sample 7 values from -2e-3 to 3e-3"},
		`{"mixture":[{"normal":0.01},{"arcsine":0.02}]}`: {oneAt, "mixture of (normal 0.01), (arcsine 0.02)"},
		`{"sample":[0.001]}`:                             {oneAt, "sample 0.001"},
		`{"weights":[1],"mixture":[{"uniform":0.01}]}`:   {oneAt, "mixture of (uniform 0.01), weights 1"},
		`{"shape":2,"weibull":0.01,"shift":-0.01}`:       {oneAt, "weibull 0.01, shape 2, shifted by -0.01"},
	} {
		r, err := varying(t, c.at, law, "")
		if err != nil {
			t.Errorf("%s: %v", law, err)
			continue
		}
		l := r.Vary[0].Law
		kinds[l.Kind] = true
		if l.String() != c.says {
			t.Errorf("%s says %q, want %q", law, l, c.says)
		}
		var b bytes.Buffer
		if err := r.Encode(&b); err != nil {
			t.Fatal(err)
		}
		squeeze := strings.NewReplacer("\n", "", " ", "").Replace
		squeezed := squeeze(b.String())
		if strings.HasPrefix(law, `{"weights"`) || strings.HasPrefix(law, `{"shape"`) { // the law comes first
			again, err := record.Decode(&b)
			if err != nil || again.Vary[0].Law.String() != c.says {
				t.Errorf("%s: again %v, %v", law, again, err)
			}
		} else if !strings.Contains(squeezed, `"law":`+squeeze(law)) {
			t.Errorf("%s is written otherwise: %s", law, squeezed)
		}
	}
	page, err := os.ReadFile("../../RECORD.md")
	if err != nil {
		t.Fatal(err)
	}
	words := record.LawWords()
	if len(words) < 20 {
		t.Errorf("only %d words of laws", len(words))
	}
	for _, w := range words {
		if !strings.Contains(string(page), `"`+w+`"`) {
			t.Errorf("RECORD.md does not name %q", w)
		}
	}
	for _, k := range record.LawKinds() {
		if !kinds[k] {
			t.Errorf("no case of %q", k)
		}
	}
}

// What cannot be meant is refused at its place, with the nearest word where there is one.
func TestLaw_faults(t *testing.T) {
	for _, c := range []struct {
		at, law, more string
		path, want    string
		class         error
	}{
		{oneAt, `{"weibul":0.01,"shape":2}`, "", "/law/weibul", `"weibull"`, nil},
		{oneAt, `{"weibull":0.01,"shap":2}`, "", "/law/shap", `"shape"`, nil},
		{oneAt, `{"weibull":0.01}`, "", "/law/shape", "this key", fault.ErrMissing},
		{oneAt, `{"weibull":0.01,"shape":0}`, "", "/law/shape", "0.1", fault.ErrOutOfRange},
		{oneAt, `{"normal":0.01,"uniform":0.02}`, "", "/law/uniform", "one law", fault.ErrRepeated},
		{oneAt, `{"normal":0.01,"normal":0.02}`, "", "/law/normal", "", fault.ErrRepeated},
		{oneAt, `{"normal":0.01,"shift":0,"shift":1}`, "", "/law/shift", "each key once", fault.ErrRepeated},
		{oneAt, `{"normal":-0.01}`, "", "/law/normal", "0 or more", fault.ErrOutOfRange},
		{oneAt, `{"lognormal":0,"spread":0.1}`, "", "/law/lognormal", "more than 0", fault.ErrOutOfRange},
		{oneAt, `{"trapezoidal":0.01,"top":1.5}`, "", "/law/top", "0 to 1", fault.ErrOutOfRange},
		{oneAt, `{"curvilinear":0.01,"inexact":0.02}`, "", "/law/inexact", "half width", fault.ErrConflict},
		{oneAt, `{"student":0.01,"freedom":2}`, "", "/law/freedom", "more than 2", fault.ErrOutOfRange},
		{oneAt, `{"beta":0.01,"shapes":[2]}`, "", "/law/shapes", "two", nil},
		{oneAt, `{"beta":0.01,"shapes":2}`, "", "/law/shapes", "two", nil},
		{oneAt, `{"discrete":[]}`, "", "/law/discrete", "list", nil},
		{oneAt, `{"discrete":[1,"a"]}`, "", "/law/discrete/1", "a number", nil},
		{oneAt, `{"discrete":[1,2],"weights":[1]}`, "", "/law/weights", "each of 2", fault.ErrConflict},
		{oneAt, `{"discrete":[1,2],"weights":[0,0]}`, "", "/law/weights", "above 0", fault.ErrConflict},
		{oneAt, `{"fit":"35"}`, "", "/law/fit", "two classes", fault.ErrSyntax},
		{oneAt, `{"fit":35}`, "", "/law/fit", "35 H7/g6", nil},
		{oneAt, `{"sample":[1,2],"weights":[1,1]}`, "", "/law/weights", "one of", nil},
		{oneAt, `{"mixture":[{"normal":0.01},{"mixture":[{"normal":1}]}]}`, "", "/law/mixture/1", "a law such as", fault.ErrConflict},
		{pairAt, `{"disc":0.01}`, `, "limits":[-0.005,0.01]`, "/limits", "leave the disc whole", fault.ErrConflict},
		{pairAt, `{"ring":0.01,"shift":[0,0.02]}`, `, "limits":[-0.02,0.02]`, "/limits", "leave the ring whole", fault.ErrConflict},
		{oneAt, `{"mixture":[{"disc":0.01}]}`, "", "/law/mixture/0", "pair", fault.ErrConflict},
		{oneAt, `{"mixture":["rim"]}`, "", "/law/mixture/0", "a law such as", fault.ErrConflict},
		{oneAt, `{"normal":[0.01,0.02]}`, "", "/law", "pair of pointers", fault.ErrConflict},
		{oneAt, `{"normal":0.01,"correlation":0.2}`, "", "/law/correlation", "pair of pointers", fault.ErrConflict},
		{oneAt, `{"ellipse":[0.01,0.02]}`, "", "/law", "pair of pointers", fault.ErrConflict},
		{pairAt, `{"beta":0.01,"shapes":[2,3]}`, "", "/law", "disc, ring, ellipse or normal", fault.ErrConflict},
		{pairAt, `{"normal":0.01,"correlation":1.1}`, "", "/law/correlation", "-1 to 1", fault.ErrOutOfRange},
		{pairAt, `{"normal":0.01,"correlation":0.5}`, `, "limits": [-0.02, 0.02]`, "/law", "no limits", fault.ErrConflict},
		{pairAt, `{"normal":0.01,"shift":0.1}`, "", "/law/shift", "a pair for two", fault.ErrConflict},
	} {
		_, err := varying(t, c.at, c.law, c.more)
		var f *fault.FieldError
		switch {
		case err == nil:
			t.Errorf("%s is accepted", c.law)
		case !errors.As(err, &f) || f.Path != "/vary/0"+c.path || !strings.Contains(f.Want, c.want) || c.class != nil && !errors.Is(err, c.class):
			t.Errorf("%s: %v, want %q at %s", c.law, err, c.want, c.path)
		}
	}
}

// A joint lies in one way in a study: a second is refused, where the last of them counted.
func TestVary_floatTwice(t *testing.T) {
	_, err := varying(t, oneAt, `{"normal":0.01}`, `}, {"float": "case|plate", "law": "rim"}, {"float": "plate|tail", "law": "rim"}, {"float": "case|plate", "law": "hang"`)
	var f *fault.FieldError
	if !errors.As(err, &f) || f.Path != "/vary/3/float" || f.Err != fault.ErrRepeated {
		t.Error(err)
	}
}

// What stands beside a drawn float and would move numbers is refused, not passed over.
func TestVary_besideFloat(t *testing.T) {
	for _, more := range []string{`"at": ` + oneAt, `"limits": [0, 1]`, `"also": [{"at": ` + oneAt + `}]`} {
		_, err := varying(t, oneAt, `{"normal":0.01}`, `}, {"float": "case|plate", "law": "rim", `+more)
		var f *fault.FieldError
		key, _, _ := strings.Cut(strings.Trim(more, `"`), `"`)
		if !errors.As(err, &f) || f.Path != "/vary/1/"+key || f.Err != fault.ErrConflict {
			t.Errorf("%s: %v", more, err)
		}
	}
}

// Limits beyond the reach of a disc change nothing, to the rounding of what is written.
func TestLaw_limitsOfADisc(t *testing.T) {
	for _, limits := range []string{"[-0.1, 0.2]", "[-0.1, 0.3]"} {
		if _, err := varying(t, pairAt, `{"disc":0.1,"shift":[0.2,0]}`, `, "limits": `+limits); (err == nil) != (limits == "[-0.1, 0.3]") {
			t.Errorf("%s: %v", limits, err)
		}
	}
}
