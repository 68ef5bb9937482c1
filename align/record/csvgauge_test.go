package record_test

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

const gauged = `{
 "format": "borestack-record/1", "units": {"length": "mm"}, "joints": [{"bolt_clearance": 0.5, "bolts": [[60, 0], [-60, 0]]}],
 "parts": [
  {"name": "plate", "rear": {"thickness": {"radius": 80, "readings": [12.01, [12.004, 12.005], null, 12.008, 12.01]}}},
  {"name": "tail", "front": {}, "bores": [{"name": "bush", "z": 100, "sweep": {"readings": [0, 20, 5, -10], "unit": "um"}}]}
 ]
}`

func budget(t *testing.T) tolerance.Uncertainty {
	t.Helper()
	u, err := tolerance.Budget{Sources: []tolerance.Source{
		tolerance.Certificate{Name: "certificate", Expanded: 3 * tolerance.Micrometre, K: 2, Acts: tolerance.OnAll},
		tolerance.Bounded{Name: "scale", Half: 1 * tolerance.Micrometre, Acts: tolerance.OnEach},
		tolerance.Certificate{Name: "exact", K: 1, Acts: tolerance.OnEach},
	}}.Combine()
	if err != nil {
		t.Fatal(err)
	}
	return u
}

func ExampleRecord_SetUncertainty() {
	r, err := record.Decode(strings.NewReader(gauged))
	if err != nil {
		fmt.Println(err)
		return
	}
	u, err := tolerance.Budget{Sources: []tolerance.Source{
		tolerance.Certificate{Name: "micrometer", Expanded: 3 * tolerance.Micrometre, K: 2, Acts: tolerance.OnAll},
		tolerance.Certificate{Name: "hand", Expanded: 2 * tolerance.Micrometre, K: 1, Acts: tolerance.OnEach},
	}}.Combine()
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := r.SetUncertainty("/parts/0/rear/thickness", u); err != nil {
		fmt.Println(err)
		return
	}
	t := r.Parts[0].Rear.Thickness
	fmt.Println(t.Uncertainty.Text, t.SharedUncertainty.Text)
	// Output: 0.002 0.0015
}

func TestRecord_SetUncertainty(t *testing.T) {
	r := decode(t, gauged)
	u := budget(t)
	if err := r.SetUncertainty("/parts/1/bores/0/sweep", u); err != nil {
		t.Fatal(err)
	}
	s, err := r.Stack()
	if err != nil {
		t.Fatal(err)
	}
	got := s.Parts[1].Bores[0].Sweep
	// Source: hand calculation: 3 µm/2, and 1 µm/√3.
	if math.Abs(got.SharedUncertainty.Value.Micrometres()-1.5) > 1e-12 || math.Abs(got.Uncertainty.Value.Micrometres()-1/math.Sqrt(3)) > 1e-12 {
		t.Errorf("%+v", got.Readings)
	}
	before := encoded(t, r)
	hot := u
	hot.Correction = 1e-6
	if err := r.SetUncertainty("/parts/1/bores/0/sweep", hot); !errors.Is(err, fault.ErrConflict) || !strings.Contains(err.Error(), "corrected") {
		t.Error(err)
	}
	if err := r.SetUncertainty("/parts/1/rear/sweep", u); !errors.Is(err, fault.ErrUnknownName) {
		t.Error(err)
	}
	bad := u
	bad.Each = tolerance.Length(math.NaN())
	if err := r.SetUncertainty("/parts/1/bores/0/sweep", bad); err == nil {
		t.Error("not a number: accepted")
	}
	if encoded(t, r) != before {
		t.Error("the record has changed")
	}
}

// The sources are what the record's vary takes: their pointers lead to its readings, and their variances add up to the budget.
func TestRecord_GaugeSources(t *testing.T) {
	r := decode(t, gauged)
	u := budget(t)
	vary, err := r.GaugeSources(u, "/parts/0/rear/thickness", "/parts/1/bores/0/sweep")
	if err != nil {
		t.Fatal(err)
	}
	text := encoded(t, &record.Record{
		Format: r.Format, Units: r.Units, Parts: r.Parts, Joints: r.Joints, Vary: vary,
	})
	again := decode(t, text)
	// one shared source and 5 + 4 readings, a repeat and a station out of reach among them
	if len(again.Vary) != 1+9 || again.Vary[0].Name != "certificate" || len(again.Vary[0].Also) != 8 {
		t.Fatalf("%+v", again.Vary)
	}
	// Source: hand calculation: certificate 0.0015 mm; on readings in µm the same draw counts a thousand times.
	first := again.Vary[0]
	if math.Abs(first.Law.Size.Value-0.0015) > 1e-18 || first.Also[3].Gain != nil || first.Also[4].Gain.Value != 1000 {
		t.Errorf("%+v", first)
	}
	for _, v := range again.Vary {
		if v.Because != "gauge" || v.Law.Kind != "normal" {
			t.Errorf("%+v", v)
		}
	}
	if v := again.Vary[3]; v.Name != "scale, set 1, station 2, repeat 2" || v.At.List[0] != "/parts/0/rear/thickness/readings/1/1" {
		t.Errorf("%+v", v)
	}
	if v := again.Vary[9]; v.Name != "scale, set 2, station 4" || math.Abs(v.Law.Size.Value-1/math.Sqrt(3)) > 1e-12 {
		t.Errorf("%+v", v)
	}
	if v, err := r.GaugeSources(u, "/parts/0/front"); err == nil || v != nil {
		t.Error(v, err)
	}
	u.Correction = 1
	if v, err := r.GaugeSources(u, "/parts/0/rear/thickness"); !errors.Is(err, fault.ErrConflict) || v != nil {
		t.Error(v, err)
	}
}
