package record_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
)

// around are n points at even steps round (x, y) at the heights given in turn, the k-th farther out by
// off[k].
func around(n int, x, y, radius float64, off map[int]float64, heights ...float64) string {
	var out []string
	for k := range n {
		s, c := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		r := radius + off[k]
		out = append(out, fmt.Sprintf("[%.6f, %.6f, %g]", x+r*s, y+r*c, heights[k%len(heights)]))
	}
	return "[" + strings.Join(out, ", ") + "]"
}

// rounds is a box in inches or mm whose register, and one bore, were measured as points.
func rounds(unit, pilot, bore string) (*record.Record, error) {
	return record.Decode(strings.NewReader(`{
 "format": "borestack-record/1", "units": {"length": "` + unit + `"},
 "parts": [
  {"name": "case", "front": {}, "rear": {"z": 100, "pilot": {"kind": "bore", ` + pilot + `}},
   "bores": [{"name": "a", "centre": [0, 0, 10]}, {"name": "b", ` + bore + `}]},
  {"name": "tail", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 80}}}
 ],
 "joints": [{}]
}`))
}

const plainPilot, plainBore = `"centre": [0, 0], "diameter": 80.01`, `"centre": [0, 0, 90]`

// Source: hand calculation: points on a circle about (0.012, -0.02) of radius 40.005; with u on each of n
// points round a circle the variances are 2u²/n of each coordinate of the centre and u²/n of the radius.
func TestRound_pilot(t *testing.T) {
	const u, n = 0.002, 12
	r, err := rounds("mm", `"round": {"points": `+around(n, 0.012, -0.02, 40.005, nil, 97)+`, "uncertainty": 0.002}`, plainBore)
	if err != nil {
		t.Fatal(err)
	}
	s, err := r.Stack()
	if err != nil {
		t.Fatal(err)
	}
	p := s.Parts[0].Rear.Pilot
	check.Near(t, "x", float64(p.Centre.X), 0.012, 1e-6)
	check.Near(t, "y", float64(p.Centre.Y), -0.02, 1e-6)
	check.Near(t, "diameter", float64(p.Diameter), 80.01, 1e-6)
	var xx, yy, xy, dd float64
	for _, e := range p.Errors {
		xx += float64(e.X * e.X)
		yy += float64(e.Y * e.Y)
		xy += float64(e.X * e.Y)
		dd += float64(e.Diameter * e.Diameter)
	}
	check.Near(t, "variance of x", xx, 2*u*u/n, 1e-10)
	check.Near(t, "variance of y", yy, 2*u*u/n, 1e-10)
	check.Near(t, "covariance", xy, 0, 1e-10)
	check.Near(t, "variance of the diameter", dd, 4*u*u/n, 1e-10)
	if p.Slope.Given {
		t.Errorf("one section gives a slope: %v", p.Slope)
	}
	// What they give may vary, and it is written again as it was.
	numbers, err := r.Numbers(nil)
	if err != nil {
		t.Fatal(err)
	}
	for at, want := range map[string]int{"/parts/0/rear/pilot/round/diameter": 1, "/parts/0/rear/pilot/round/centre/1": 1, "/parts/0/rear/pilot/round/points/0/0": 0} {
		if moves, err := numbers.Moves(at); len(moves) != want || (err == nil) != (want > 0) {
			t.Errorf("%s moves %v, %v", at, moves, err)
		}
	}
	var b bytes.Buffer
	if err := r.Encode(&b); err != nil {
		t.Fatal(err)
	}
	again, err := record.Decode(&b)
	if err != nil || again.Parts[0].Rear.Pilot.Diameter.Text != "" || len(again.Parts[0].Rear.Pilot.Round.Points) != n {
		t.Errorf("written and read again: %+v, %v", again, err)
	}
	if d := r.Doubts(); len(d) != 0 {
		t.Errorf("doubts of clean points: %v", d)
	}
}

// Source: hand calculation: rings of radius 1 in at z 3 and 4 in, the second shifted by 0.001 in: the axis
// has a slope of 0.001 and is halfway at z 3.5. In inches, lengths come out in mm.
func TestRound_bore(t *testing.T) {
	first, second := around(8, 0, 0, 1, nil, 3), around(8, 0.001, 0, 1, nil, 4)
	r, err := rounds("in", plainPilot, `"round": {"points": `+strings.TrimSuffix(first, "]")+", "+strings.TrimPrefix(second, "[")+`, "uncertainty": 0.0001}`)
	if err != nil {
		t.Fatal(err)
	}
	s, err := r.Stack()
	if err != nil {
		t.Fatal(err)
	}
	b := s.Parts[0].Bores[1]
	check.Near(t, "x", float64(b.Centre.X), 0.0005*25.4, 1e-5)
	check.Near(t, "z", float64(b.Centre.Z), 3.5*25.4, 1e-4)
	check.Near(t, "slope x", b.Slope.X, 0.001, 1e-6)
	check.Near(t, "slope y", b.Slope.Y, 0, 1e-6)
	check.Near(t, "diameter", float64(b.Diameter.Value), 50.8, 1e-4)
	// Source: hand calculation: slope over heights ±0.5 in: u² / Σ z² cos² = u² / (16·0.25/2).
	var ss float64
	for _, e := range b.Errors {
		ss += e.Slope.X * e.Slope.X
	}
	check.Near(t, "variance of the slope", ss/(1e-8/2), 1, 0.01)
}

// Places, values and what would be right.
func TestRound_refused(t *testing.T) {
	good := `"round": {"points": ` + around(8, 0, 0, 40.005, nil, 97) + `}`
	for _, c := range []struct {
		name, pilot, bore, path string
		class                   error
	}{
		{"both", good + `, "centre": [0, 0]`, plainBore, "/parts/0/rear/pilot/round", fault.ErrConflict},
		{"diameter too", good + `, "diameter": 80`, plainBore, "/parts/0/rear/pilot/diameter", fault.ErrConflict},
		{"no diameter", `"centre": [0, 0]`, plainBore, "/parts/0/rear/pilot/diameter", fault.ErrMissing},
		{"nothing", `"diameter": 80`, plainBore, "/parts/0/rear/pilot", fault.ErrMissing},
		{"three points", `"round": {"points": [[40, 0, 0], [0, 40, 0], [-40, 0, 0]]}`, plainBore, "/parts/0/rear/pilot/round/points", fault.ErrTooFew},
		{"four at two heights", `"round": {"points": ` + around(4, 0, 0, 40, nil, 0, 9) + `}`, plainBore, "/parts/0/rear/pilot/round/points", fault.ErrTooFew},
		{"unknown key", `"round": {"pionts": []}`, plainBore, "/parts/0/rear/pilot/round/pionts", nil},
		{"below 0", `"round": {"points": ` + around(8, 0, 0, 40, nil, 97) + `, "uncertainty": -1}`, plainBore, "/parts/0/rear/pilot/round/uncertainty", fault.ErrOutOfRange},
		{"across the axis", plainPilot, `"round": {"points": [[0, 9, 9], [9, 9, 0], [0, 9, -9], [-9, 9, 0], [0, 29, 9], [9, 29, 0], [0, 29, -9], [-9, 29, 0]]}`, "/parts/0/bores/1/round/points", fault.ErrOutOfRange},
		{"on a line", plainPilot, `"round": {"points": [[0, 0, 9], [1, 1, 9], [2, 2, 9], [3, 3, 9]]}`, "/parts/0/bores/1/round/points/0", nil},
		{"z too", plainPilot, `"z": 90, "round": {"points": ` + around(8, 0, 0, 20, nil, 90) + `}`, "/parts/0/bores/1/z", fault.ErrConflict},
		{"slope too", plainPilot, `"slope": [0, 0], "round": {"points": ` + around(8, 0, 0, 20, nil, 80, 90) + `}`, "/parts/0/bores/1/slope", fault.ErrConflict},
	} {
		_, err := rounds("mm", c.pilot, c.bore)
		var f *fault.FieldError
		if !errors.As(err, &f) || f.Path != c.path || f.Want == "" || c.class != nil && !errors.Is(err, c.class) {
			t.Errorf("%s: %v, want one at %s", c.name, err, c.path)
		}
	}
}

// A digit that was typed wrong lies apart from all others and is named; a lobed bore is no slip, nor
// what only rounding of the last digits tells apart.
func TestRound_apart(t *testing.T) {
	lobes := map[int]float64{}
	for k := range 12 {
		lobes[k] = 0.004 * math.Cos(3*2*math.Pi*float64(k)/12)
	}
	slip := map[int]float64{5: 0.1}
	for k, v := range lobes {
		slip[k] += v
	}
	for _, c := range []struct {
		name string
		off  map[int]float64
		n    int
		want string
	}{
		{"slip", slip, 12, "/parts/0/rear/pilot/round/points/5"},
		{"lobes", lobes, 12, ""},
		{"one in exact points", map[int]float64{2: 0.000003}, 12, ""},
		{"seven cannot tell", map[int]float64{2: 0.1}, 7, ""},
	} {
		r, err := rounds("mm", `"round": {"points": `+around(c.n, 0, 0, 40.005, c.off, 97)+`}`, plainBore)
		if err != nil {
			t.Fatal(c.name, err)
		}
		got := ""
		numbers, err := r.Numbers(nil)
		if err != nil {
			t.Fatal(c.name, err)
		}
		for _, d := range r.Doubts() {
			got += d.Path
			for _, n := range d.Numbers {
				if m, err := numbers.Moves(n); err != nil || len(m) == 0 {
					t.Errorf("%s: doubts %s, which moves nothing: %v", c.name, n, err)
				}
			}
		}
		if got != c.want {
			t.Errorf("%s: doubts %q, want %q", c.name, got, c.want)
		}
	}
}

// What the points come to is said with the form error, of three lobes of 0.004 mm: 0.008 peak to valley.
// Source: hand calculation.
func TestRound_understood(t *testing.T) {
	lobes := map[int]float64{}
	for k := range 12 {
		lobes[k] = 0.004 * math.Cos(3*2*math.Pi*float64(k)/12)
	}
	r, err := rounds("mm", `"round": {"points": `+around(12, 0, 0, 40.005, lobes, 97)+`}`, plainBore)
	if err != nil {
		t.Fatal(err)
	}
	const want = "/parts/0/rear/pilot/round: 12 points round the rear pilot of case make a circle of diameter 80.01 mm by least squares, out of round by 0.008 mm (0.008 mm by the minimum zone; few points hide form)"
	for _, u := range r.Understood() {
		if u.String() == want {
			return
		}
	}
	t.Errorf("%v\nwant %s", r.Understood(), want)
}

// A record made in Go needs no decoding for its points to count.
func TestRound_madeInGo(t *testing.T) {
	r, err := rounds("mm", `"round": {"points": `+around(8, 0.01, 0, 40.005, nil, 97)+`}`, plainBore)
	if err != nil {
		t.Fatal(err)
	}
	r.Parts[0].Rear.Pilot.Round = &record.RoundPoints{Points: r.Parts[0].Rear.Pilot.Round.Points}
	s, err := r.Stack()
	if err != nil {
		t.Fatal(err)
	}
	if p := s.Parts[0].Rear.Pilot; p.Kind != align.PilotBore || math.Abs(float64(p.Centre.X)-0.01) > 1e-6 {
		t.Errorf("%+v", p)
	}
}

// A bore that leans is cut by a plane in an ellipse: points of a true cylinder lie on it all the same, and
// none of them is doubted, but one that is off.
//
// Source: hand calculation: points at R from an axis along (s, 0, 1).
func TestRound_leaning(t *testing.T) {
	const s = 0.03
	for _, off := range []float64{0, 0.05} {
		var points []string
		for k := range 16 {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / 16)
			along, length, radius := 30*float64(k%2)+80, math.Sqrt(1+s*s), 40.0
			if k == 5 {
				radius += off
			}
			points = append(points, fmt.Sprintf("[%.6f, %.6f, %.6f]", (radius*cos+s*along)/length, radius*sin, (along-s*radius*cos)/length))
		}
		r, err := rounds("mm", plainPilot, `"round": {"points": [`+strings.Join(points, ", ")+`]}`)
		if err != nil {
			t.Fatal(err)
		}
		if d := r.Doubts(); (len(d) > 0) != (off > 0) || len(d) > 0 && d[0].Path != "/parts/0/bores/1/round/points/5" {
			t.Error(off, d)
		}
	}
}

// Points set in Go that give nothing are an error at their place, not a bore at the part's axis.
func TestRound_fewInGo(t *testing.T) {
	r, err := rounds("mm", plainPilot, plainBore)
	if err != nil {
		t.Fatal(err)
	}
	r.Parts[0].Bores[1].Centre = nil
	r.Parts[0].Bores[1].Round = &record.RoundPoints{Points: []record.Triple{{record.Num(40), record.Num(0), record.Num(90)}}}
	var f *fault.FieldError
	if _, err := r.Stack(); !errors.As(err, &f) || f.Path != "/parts/0/bores/1/round/points" || f.Err != fault.ErrTooFew {
		t.Error(err)
	}
}
