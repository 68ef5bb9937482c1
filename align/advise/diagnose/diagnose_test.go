package diagnose

import (
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

func launch(t testing.TB) align.Stack {
	t.Helper()
	return boxOf(t, "../../../examples/driveline/harbour-launch.json")
}

func boxOf(t testing.TB, path string) align.Stack {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rec, err := record.Decode(file)
	if err != nil {
		t.Fatal(err)
	}
	s, err := rec.Stack()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func modelOf(t testing.TB, s align.Stack, seen []Seen, p Process) *model {
	t.Helper()
	p, err := p.completed()
	if err != nil {
		t.Fatal(err)
	}
	m, err := newModel(t.Context(), s, seen, p)
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// everything is a sweep of each support and the gap of each chain.
func everything(s *align.Stack) (out []Seen) {
	for _, b := range supports(s) {
		out = append(out, Seen{Kind: Sweep, Of: b})
	}
	for _, c := range s.Chains {
		out = append(out, Seen{Kind: EndPlay, Of: c.Name})
	}
	return out
}

// A single deviation is found from a single sweep, with the size that it has, and what does the same is
// named beside it.
func TestExplain_oneSweep(t *testing.T) {
	s := launch(t)
	bore := supports(&s)[len(supports(&s))-1]
	f, err := Explain(t.Context(), s, []Seen{{Kind: Sweep, Of: bore, Value: 1.2, Clock: 120 * tolerance.Degree}}, Process{})
	if err != nil {
		t.Fatal(err)
	}
	sum := f.Nothing
	for _, e := range f.Explanations {
		sum += e.Probability
	}
	if math.Abs(sum-1) > 1e-9 || f.Nothing > 0.01 {
		t.Errorf("probabilities sum to %g, nothing %g", sum, f.Nothing)
	}
	if f.Next.Name == "" || f.Next.After >= f.Next.Doubt {
		t.Errorf("%+v", f.Next)
	}
	var out strings.Builder
	if err := f.Page(tolerance.Millimetres).Text(&out); err != nil || !strings.Contains(out.String(), "none is shown to be the cause") {
		t.Errorf("%v\n%s", err, out.String())
	}
	t.Log(out.String())
}

// The first-order effects are those of the box itself.
//
// Source: the box solved with the deviation put in, a second method.
func TestEffects_secondMethod(t *testing.T) {
	s := launch(t)
	seen := everything(&s)
	m := modelOf(t, s, seen, Process{})
	base, err := plain(s)
	if err != nil {
		t.Fatal(err)
	}
	at, err := numbersOf(&base, seen)
	if err != nil {
		t.Fatal(err)
	}
	for k := range m.dev {
		d := &m.dev[k]
		box := base.Clone()
		x, y := 5*d.sd, -3*d.sd
		if d.parts == 1 {
			y = 0
		}
		d.apply(&box, x, y)
		got, err := numbersOf(&box, seen)
		if err != nil {
			t.Fatal(err)
		}
		for i := range got {
			want := m.effect.At(i, m.column[k]) * x
			if d.parts == 2 {
				want += m.effect.At(i, m.column[k]+1) * y
			}
			if math.Abs(got[i]-at[i]-want) > 1e-3*math.Abs(want)+2e-5 {
				t.Errorf("%s, number %d: %g, to first order %g", d.name, i, got[i]-at[i], want)
			}
		}
	}
}

func TestExplain_refuses(t *testing.T) {
	s := launch(t)
	bore := supports(&s)[0]
	for name, c := range map[string]struct {
		seen []Seen
		want error
	}{
		"nothing":       {nil, fault.ErrMissing},
		"unknown bore":  {[]Seen{{Kind: Sweep, Of: "tail/nothing"}}, fault.ErrUnknownName},
		"unknown kind":  {[]Seen{{Of: bore}}, fault.ErrOutOfRange},
		"no number":     {[]Seen{{Kind: Sweep, Of: bore, Value: tolerance.Length(math.NaN())}}, fault.ErrNotFinite},
		"negative TIR":  {[]Seen{{Kind: Sweep, Of: bore, Value: -1}}, fault.ErrOutOfRange},
		"absurd TIR":    {[]Seen{{Kind: Sweep, Of: bore, Value: 1e300}}, fault.ErrOutOfRange},
		"unknown joint": {[]Seen{{Kind: Weeps, Of: "here"}}, fault.ErrUnknownName},
		"no mesh":       {[]Seen{{Kind: Bright, Of: "pair", At: Rear}}, fault.ErrUnknownName},
		"no direction":  {[]Seen{{Kind: Worn, Of: bore, Clock: tolerance.Angle(math.Inf(1))}}, fault.ErrNotFinite},
		"no radius":     {[]Seen{{Kind: Face, Of: bore, Value: 0.1}}, fault.ErrOutOfRange},
		"gauge too bad": {[]Seen{{Kind: Sweep, Of: bore, Value: 0.1, U: 1e300}}, fault.ErrOutOfRange},
		"too good":      {[]Seen{{Kind: Sweep, Of: bore, Value: 0.1, U: 1e-300}}, fault.ErrOutOfRange},
	} {
		if _, err := Explain(t.Context(), s, c.seen, Process{}); !errors.Is(err, c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A dial about the main reference does not reach a shaft beside it.
func TestExplain_beside(t *testing.T) {
	s := boxOf(t, "../../../testdata/records/two-shaft-box.json")
	for _, v := range []Seen{{Kind: Sweep, Of: "cover/counter rear", Value: 0.1}, {Kind: Face, Of: "cover/counter rear", Value: 0.1, Radius: 40}} {
		if _, err := Explain(t.Context(), s, []Seen{v}, Process{}); !errors.Is(err, fault.ErrConflict) || !strings.HasPrefix(err.Error(), `seen/0/of: "cover/counter rear"`) {
			t.Error(err)
		}
	}
}

// A process that is none is refused, and does not count as the usual one.
func TestExplain_process(t *testing.T) {
	s := launch(t)
	seen := []Seen{{Kind: Sweep, Of: supports(&s)[0], Value: 0.1}}
	for _, p := range []Process{{Fault: 0.5}, {Fault: -8}, {Place: -1}, {Face: math.NaN()}, {Square: math.Inf(1)}, {Fault: 1e300}, {Length: 1e9}} {
		if _, err := Explain(t.Context(), s, seen, p); !errors.Is(err, fault.ErrOutOfRange) {
			t.Errorf("%+v: %v", p, err)
		}
	}
}

// A table has the columns that its sights need, and a slip in another's name is told.
func TestReadTable_fewColumns(t *testing.T) {
	got, err := ReadTable(strings.NewReader("seen,of,value,clock,radius\nface,tail/bush,0.1,3:00,40\n"), tolerance.Millimetres)
	if err != nil || len(got) != 1 || got[0].Radius != 40 || got[0].Kind != Face {
		t.Errorf("%+v, %v", got, err)
	}
	_, err = ReadTable(strings.NewReader("seen,of,value,Clock\nsweep,tail/bush,0.1,90\n"), tolerance.Millimetres)
	for _, want := range []string{`head line: "Clock": unknown name`, "line 2, clock"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q is missing from %v", want, err)
		}
	}
}

// A blank is not zero, and what a sight of its kind has not is not dropped.
func TestReadTable_columns(t *testing.T) {
	for row, column := range map[string]string{
		"sweep,b,,0.1,,": "clock", "sweep,b,,,90,": "value", "end play,b,,,,": "value", "worn,b,front,,,": "clock", "weeps,b,,,,": "clock",
		"bright,b,,,,": "at", "worn,b,,0.1,90,": "value", "end play,b,,0.1,30,": "clock", "weeps,b,rear,,90,": "at", "sweep,b,,0.1,90,NaN": "u", "face,b,,0.1,90,": "radius",
	} {
		_, err := ReadTable(strings.NewReader("\ufeffseen,of,at,value,clock,u\n"+row+"\n"), tolerance.Millimetres)
		if err == nil || !strings.Contains(err.Error(), "line 2, "+column) {
			t.Errorf("%s: %v", row, err)
		}
	}
}

func TestReadTable(t *testing.T) {
	got, err := ReadTable(strings.NewReader("seen,of,at,value,clock,u\n# invented\nsweep,tail/bush,,120,90,5\nworn,tail/bush,front,,150,\nend play,input,,300,,\n"), tolerance.Micrometres)
	if err != nil || len(got) != 3 {
		t.Fatalf("%+v, %v", got, err)
	}
	if math.Abs(float64(got[0].Value)-0.12) > 1e-12 || got[1].Kind != Worn || got[1].At != Front || math.Abs(got[1].Clock.Degrees()-150) > 1e-9 || got[2].Kind != EndPlay {
		t.Errorf("%+v", got)
	}
	_, err = ReadTable(strings.NewReader("seen,of,at,value,clock,u\nsween,a,b,c,,\n"), tolerance.Millimetres)
	for _, want := range []string{"line 2, seen", "line 2, at", "line 2, value"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q is missing from %v", want, err)
		}
	}
	if _, err := ReadTable(strings.NewReader("what\n"), tolerance.Millimetres); !errors.Is(err, fault.ErrMissing) {
		t.Errorf("%v", err)
	}
}
