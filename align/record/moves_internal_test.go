package record

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"strings"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.com/borestack/align"
)

// wide is an invented record in inches that uses nearly every key that holds a number.
const wide = `{"format": "borestack-record/1", "title": "invented", "units": {"length": "in"},
"parts": [
 {"name": "case", "material": {"expansion": 1e-5, "modulus": 110000, "poisson": 0.26}, "temperature": 30, "measured_at": 21,
  "rear": {"z": 2.5, "slope": [1e-4, 2e-4], "diameter": 8, "pilot": {"kind": "bore", "centre": [0.001, 0.002], "diameter": 5.001, "slope": [1e-4, 0]}, "dowels": [{"name": "d", "centre": [0.01, 3.5], "diameter": 0.375}]},
  "bores": [{"name": "front", "centre": [0.001, 0.002, -6], "slope": [1e-5, 2e-5], "diameter": 2}, {"name": "rear", "z": 1.5, "sweep": {"readings": [0, 2, 3, [4, 6], 0, -2, -4, -2], "first": 5, "closing": 0, "uncertainty": 0.1, "shared_uncertainty": 0.2, "unit": "thou", "droop": 0.5, "lift": 0.25, "about": "case/front"}}]},
 {"name": "plate", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 5}, "dowels": [{"name": "d", "centre": [0, 3.5], "diameter": 0.376}]},
  "rear": {"thickness": {"radius": 3.5, "readings": [500, 501, 502, 501], "at": [0, 90, 180, 270], "unit": "thou"}, "pilot": {"kind": "bore", "diameter": 4, "sweep": {"readings": [0, 1, 0, -1], "about": "plate/seat"}}},
  "bores": [{"name": "seat", "centre": [0, 0, 0.25]}]},
 {"name": "lid", "front": {"points": [[4, 0, 0], [0, 4, 0.001], [-4, 0, 0], [0, -4, 0.002]], "pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 3.999}}, "bores": [{"name": "bush", "centre": [0.001, 0, 10], "diameter": 1.5}]}
],
"joints": [{"gasket": {"thickness": 0.01, "slope": [1e-5, 3e-5]}, "pins": [{"dowel": "d", "diameter": 0.375, "pressed": "front", "locates": [1, 0], "step": [0.001, 0.002]}], "engagement": 0.25, "bolts": [[0, 4], [4, 0]], "bolt_clearance": 0.03, "clock": 10},
 {"seat": "points", "flatten": 0.5, "float": {"x": 0.001, "y": 0.002, "turn": 0.1}, "yielding": {"stiffness": 120, "area": 3000, "bolt_loads": [12000, 13000, 14000]}, "bolts": [[0, 4], [3, -2], [-3, -2]]}],
"shafts": [{"name": "main", "material": {"expansion": 1.1e-5, "modulus": 206000}, "temperature": 25, "sections": [{"from": -6.5, "to": 14, "diameter": 1.9, "bore": 0.5}], "density": 7850,
  "loads": [{"name": "belt", "z": 0, "force": [10, 20]}, {"name": "wheel", "z": 1, "gear": {"torque": 12, "pitch_diameter": 3, "pressure_angle": 20, "helix": 8, "mate": 90}}],
  "supports": [{"bore": "case/front", "clearance": 0.002, "stiffness": 1e5}, {"bore": "case/rear", "clearance": 0.002, "runout": 0.001, "tilt": 0.001}, {"bore": "lid/bush", "clearance": 0.005, "kind": "bush", "width": 2, "guide": {"offset": 0.01, "force": 100, "because": "invented"}}]},
 {"name": "input", "supports": [{"bore": "plate/seat", "clearance": 0.001}]}],
"pockets": [{"name": "nose", "between": ["input", "main"], "z": 0.5, "clearance": 0.003, "width": 0.75}],
"references": [{"name": "line", "through": ["case/front", "case/rear"]}],
"meshes": [{"name": "pair", "axes": [["case/front", "case/rear"], ["plate/seat", "lid/bush"]], "z": 1, "face_width": 0.8, "helix_tolerance": 0.001, "pressure_angle": 20}],
"chains": [{"name": "play", "links": [{"name": "a", "from": "case/rear", "to": "plate/front"}, {"name": "b", "length": 0.01, "gain": -2}], "least": -100, "greatest": 100}],
"candidates": {"plate": [{"name": "second", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 5}, "dowels": [{"name": "d", "centre": [0, 3.5], "diameter": 0.376}]}, "rear": {"z": 0.5, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 4}}, "bores": [{"name": "seat", "centre": [0, 0, 0.25]}]}]},
"states": [{"name": "warm", "temperatures": {"case": 60, "main": 70}, "moves": {"lid": [0.001, 0.002, 0.003]}}]
}`

func decoded(t *testing.T, text string) *Record {
	t.Helper()
	r, err := Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// leaves lists the JSON Pointer of every number of a document.
func leaves(v any, at string, do func(pointer string)) {
	switch x := v.(type) {
	case map[string]any:
		for k, e := range x {
			leaves(e, at+"/"+k, do)
		}
	case []any:
		for i, e := range x {
			leaves(e, fmt.Sprintf("%s/%d", at, i), do)
		}
	case float64:
		do(at)
	}
}

// warmed is the stack in the state that wide has.
func warmed(s align.Stack) (align.Stack, error) { return s.InState("warm") }

// Source: second method: the number is changed in a copy of the record, and the two stacks are compared number by number; and units: hand calculation, an inch is 25.4 mm, a thousandth of it 0.0254 mm, a degree π/180.
func TestNumbers_everyNumber(t *testing.T) {
	var tree any
	if err := json.Unmarshal([]byte(wide), &tree); err != nil {
		t.Fatal(err)
	}
	for name, in := range map[string]func(align.Stack) (align.Stack, error){"as measured": nil, "warm": warmed} {
		rec, copied := decoded(t, wide), decoded(t, wide)
		all, err := rec.Numbers(in)
		if err != nil {
			t.Fatal(err)
		}
		stack := func() []float64 {
			s, err := copied.Stack()
			if err == nil && in != nil {
				s, err = in(s)
			}
			if err != nil {
				t.Fatal(err)
			}
			return flat(reflect.ValueOf(&s).Elem(), nil)
		}
		before := stack()
		leaves(tree, "", func(pointer string) {
			n := copied.number(pointer)
			if n == nil {
				t.Fatalf("%s: not found", pointer)
			}
			// the step is a number of its size, so that its gain is seen with few units in the last place lost
			written, step := *n, 0.5*n.Value
			if step == 0 {
				step = 0.5
			}
			n.Value += step
			after := stack()
			*n = written
			moved := 0.0
			for i := range after {
				moved += math.Abs(after[i]-before[i]) / math.Abs(step)
			}
			var gains float64
			moves, err := all.Moves(pointer)
			for _, m := range moves {
				gains += m.Gain
			}
			if math.Abs(gains-moved) > 1e-12*moved || in == nil && (err == nil) != (moved > 0) {
				t.Errorf("%s, %s: gains add up to %v, the stack moves by %v (%v)", name, pointer, gains, moved, err)
			}
			for _, p := range all.here[rec.number(pointer)] {
				s, _ := rec.Stack()
				if in != nil {
					s, _ = in(s)
				}
				was := *follow(&s, p.path)
				*follow(&s, p.path) += p.gain * step
				if now := flat(reflect.ValueOf(&s).Elem(), nil); len(moves) == 1 && !cmp.Equal(now, after, cmpopts.EquateApprox(1e-12, 1e-12)) {
					t.Errorf("%s, %s: another number is moved than the one that follows (%v)", name, pointer, was)
				}
			}
		})
	}
}

// flat lists every number of a value, in order.
func flat(v reflect.Value, out []float64) []float64 {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			out = flat(v.Elem(), out)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			out = flat(v.Field(i), out)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			out = flat(v.Index(i), out)
		}
	case reflect.Float64:
		out = append(out, v.Float())
	}
	return out
}

// Source: hand calculation: an inch is 25.4 mm, a thousandth of it 0.0254 mm, a degree π/180; a state's temperature is its part's, a move its part's.
func TestNumbers_gains(t *testing.T) {
	rec := decoded(t, wide)
	for _, c := range []struct {
		pointer string
		in      func(align.Stack) (align.Stack, error)
		of      func(s *align.Stack) float64
		gain    float64
	}{
		{"/parts/0/rear/pilot/diameter", nil, func(s *align.Stack) float64 { return float64(s.Parts[0].Rear.Pilot.Diameter) }, 25.4},
		{"/parts/0/bores/1/sweep/readings/3/1", nil, func(s *align.Stack) float64 { return float64(s.Parts[0].Bores[1].Sweep.Values[3][1]) }, 0.0254},
		{"/parts/0/bores/1/z", nil, func(s *align.Stack) float64 { return float64(s.Parts[0].Bores[1].Centre.Z) }, 25.4},
		{"/parts/0/material/expansion", nil, func(s *align.Stack) float64 { return s.Parts[0].Material.Value.Expansion }, 1},
		{"/joints/0/clock", nil, func(s *align.Stack) float64 { return float64(s.Joints[0].Clock) }, math.Pi / 180},
		{"/joints/0/gasket/slope/1", nil, func(s *align.Stack) float64 { return s.Joints[0].Gasket.Slope.Y }, 1},
		{"/shafts/0/loads/0/force/1", nil, func(s *align.Stack) float64 { return s.Shafts[0].Loads[0].Force.Y }, 1},
		{"/candidates/plate/0/rear/z", nil, func(s *align.Stack) float64 { return float64(s.Candidates[0].Parts[0].Rear.Z) }, 25.4},
		{"/states/0/temperatures/case", warmed, func(s *align.Stack) float64 { return float64(s.Parts[0].Temperature.Value) }, 1},
		{"/states/0/temperatures/main", warmed, func(s *align.Stack) float64 { return float64(s.Shafts[0].Temperature.Value) }, 1},
		{"/states/0/moves/lid/2", warmed, func(s *align.Stack) float64 { return float64(s.Parts[2].Moved.Z) }, 25.4},
	} {
		all, err := rec.Numbers(c.in)
		if err != nil {
			t.Fatal(err)
		}
		s, _ := rec.Stack()
		if c.in != nil {
			s, _ = c.in(s)
		}
		moves, err := all.Moves(c.pointer)
		if err != nil {
			t.Errorf("%s: %v", c.pointer, err)
			continue
		}
		n := rec.number(c.pointer)
		before := c.of(&s)
		for k, p := range all.here[n] {
			if math.Abs(p.gain-c.gain) > 1e-15*c.gain || moves[k].Gain != p.gain {
				t.Errorf("%s: gain %v, want %v", c.pointer, p.gain, c.gain)
			}
			*follow(&s, p.path) += 1
		}
		if d := c.of(&s) - before; math.Abs(d-1) > 1e-12 {
			t.Errorf("%s moves the wrong number: %v", c.pointer, d)
		}
	}
	// in a state, what the state fixes no longer follows
	all, err := rec.Numbers(warmed)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []string{"/parts/0/temperature", "/shafts/0/temperature"} {
		if m, err := all.Moves(p); err != nil || len(m) > 0 {
			t.Errorf("%q moves %v, %v", p, m, err)
		}
	}
	for _, p := range []string{"/parts/9/rear/z", "/parts/0/name", ""} {
		if m, err := all.Moves(p); err == nil {
			t.Errorf("%q moves %v", p, m)
		}
	}
	if _, err := (&Numbers{}).Moves("/parts/0/rear/z"); err == nil {
		t.Error("the zero value moves something")
	}
}

// Every reader of a record shares it with the others. Run with -race.
func TestRecord_shared(t *testing.T) {
	rec := decoded(t, wide)
	var before bytes.Buffer
	if err := rec.Encode(&before); err != nil {
		t.Fatal(err)
	}
	all, err := rec.Numbers(nil)
	if err != nil {
		t.Fatal(err)
	}
	var wg sync.WaitGroup
	for range 4 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for range 5 {
				var b bytes.Buffer
				if err := rec.Encode(&b); err != nil || !bytes.Equal(b.Bytes(), before.Bytes()) {
					t.Error("encoding gives another record", err)
				}
				if _, err := rec.Stack(); err != nil {
					t.Error(err)
				}
				for _, in := range []func(align.Stack) (align.Stack, error){nil, warmed} {
					if _, err := rec.Numbers(in); err != nil {
						t.Error(err)
					}
				}
				if _, err := all.Moves("/parts/0/rear/pilot/diameter"); err != nil {
					t.Error(err)
				}
				rec.Limits()
				rec.Warnings()
				rec.Doubts()
				rec.UnitOf(align.Output{What: align.Margin})
				if err := rec.WriteTable(io.Discard); err != nil {
					t.Error(err)
				}
			}
		}()
	}
	wg.Wait()
}
