package record_test

import (
	"bytes"
	"errors"
	"fmt"
	"reflect"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
)

func encoded(t *testing.T, r *record.Record) string {
	t.Helper()
	var b bytes.Buffer
	if err := r.Encode(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// A table goes into a record and comes out again, byte for byte, through the record's JSON.
func TestRecord_SetPoints_roundTrip(t *testing.T) {
	c := points()
	c.Unit = "in" // the record's
	text := "3.50,0.0,0.0010\n-1.75,3.031,0\n-1.75,-3.031,-5e-4\n"
	r := decode(t, small)
	if err := r.SetPoints("/parts/1/front", readPoints(t, text, c), "in"); err != nil {
		t.Fatal(err)
	}
	back, err := decode(t, encoded(t, r)).PointsAt("/parts/1/front")
	if err != nil {
		t.Fatal(err)
	}
	if got := writePoints(t, back, c); got != text {
		t.Errorf("%q becomes %q", text, got)
	}
	if f := r.Parts[1].Front; f.Pilot == nil || len(f.Dowels) != 1 {
		t.Error("the face has lost what is beside its points")
	}
	// Source: international yard and pound agreement, 1959: an inch is 25.4 mm.
	if err := r.SetPoints("/parts/1/rear", readPoints(t, "25.4,0,0.254\n0,25.4,0.254\n0,0,0.254\n", points()), "mm"); err != nil {
		t.Fatal(err)
	}
	if p, err := r.PointsAt("/parts/1/rear"); err != nil || p[0][0].Text != "1" || p[0][2].Text != "0.01" {
		t.Error(p, err)
	}
	if p, err := r.PointsAt("/parts/0/front"); err != nil || p != nil {
		t.Error("a face that is not there has points", p, err)
	}
}

// What contradicts the rest of the record is refused and changes nothing.
func TestRecord_SetPoints_refuses(t *testing.T) {
	r := decode(t, small)
	before := encoded(t, r)
	good := readPoints(t, "1,0,0\n-1,1,0\n-1,-1,0\n", points())
	for name, q := range map[string]struct {
		pointer, unit string
		pts           []record.Triple
		want          string
	}{
		"beside z":       {"/parts/0/rear", "in", good, "/parts/0/rear/z"},
		"no face":        {"/parts/0", "in", good, "a part's face"},
		"no part":        {"/parts/2/rear", "in", good, "a part's face"},
		"no candidate":   {"/candidates/tail/0/front", "in", good, "a part's face"},
		"nothing":        {"", "in", good, "a part's face"},
		"no slash":       {"parts/0/rear", "in", good, "a part's face"},
		"before slash":   {"x/parts/0/rear", "in", good, "a part's face"},
		"no unit":        {"/parts/1/front", "", good, "/unit"},
		"strange unit":   {"/parts/1/front", "cm", good, "/unit"},
		"on one line":    {"/parts/1/front", "in", readPoints(t, "1,0,0\n2,0,0\n3,0,0\n", points()), "/parts/1/front/points"},
		"not a number":   {"/parts/1/front", "in", []record.Triple{{{Text: "x"}, record.Num(0), record.Num(0)}}, "/parts/1/front/points/0/0"},
		"too large":      {"/parts/1/front", "m", readPoints(t, "1000,0,0\n0,2,0\n3,0,0\n", points()), "/parts/1/front/points/0/0"},
		"on a new face":  {"/parts/0/front", "m", readPoints(t, "1000,0,0\n0,2,0\n3,0,0\n", points()), "/parts/0/front/points/0/0"},
		"two values":     {"/parts/1/front", "in", []record.Triple{{{Text: "1", Value: 2}, record.Num(0), record.Num(0)}}, "/parts/1/front/points/0/0"},
		"on a bore":      {"/parts/0/bores/0", "in", good, "a part's face"},
		"empty pointers": {"///", "in", good, "a part's face"},
	} {
		err := r.SetPoints(q.pointer, q.pts, q.unit)
		var f *fault.FieldError
		if !errors.As(err, &f) || !strings.Contains(err.Error(), q.want) {
			t.Errorf("%s: %v", name, err)
		}
		if encoded(t, r) != before {
			t.Fatalf("%s: the record has changed", name)
		}
	}
}

func TestRecord_SetReadings(t *testing.T) {
	const at = "/parts/0/bores/1/sweep"
	c := dial("clock", "reading")
	text := "0,0.0\n90,-1.50\n180,\n200,2\n270,1\n"
	in, err := record.ReadReadings(strings.NewReader(text), c)
	if err != nil {
		t.Fatal(err)
	}
	r := decode(t, small)
	if err := r.SetReadings(at, in); err != nil {
		t.Fatal(err)
	}
	out, err := decode(t, encoded(t, r)).ReadingsAt(at)
	if err != nil {
		t.Fatal(err)
	}
	if got := writeReadings(t, out, c); got != text {
		t.Errorf("%q becomes %q", text, got)
	}
	s := r.Parts[0].Bores[1].Sweep
	if s.Droop == nil || s.Droop.Text != "0.5" || s.About != "case/front" || s.Unit != "thou" {
		t.Error("the sweep has lost what a table does not tell")
	}
	// readings in another unit go into the block's: 25.4 µm are a thou, exactly
	c.Unit = "um"
	in, err = record.ReadReadings(strings.NewReader("0,25.4\n120,-12.7\n240,0\n"), c)
	if err != nil {
		t.Fatal(err)
	}
	u := record.Num(2.54)
	in.Uncertainty = &u
	if err := r.SetReadings(at, in); err != nil {
		t.Fatal(err)
	}
	s = r.Parts[0].Bores[1].Sweep
	if s.Readings.Readings[0].Repeats[0].Value != 1 || s.Readings.Readings[1].Repeats[0].Value != -0.5 || s.Uncertainty.Value != 0.1 {
		t.Errorf("%+v", s.Readings)
	}
	before := encoded(t, r)
	for name, change := range map[string]func(*record.Readings){
		"few stations": func(r *record.Readings) { r.Readings, r.At = r.Readings[:2], r.At[:2] },
		"no unit":      func(r *record.Readings) { r.Unit = "" },
		"not a number": func(r *record.Readings) {
			r.Readings = append([]record.Reading{{Repeats: []record.Number{{Text: "x"}}}}, r.Readings[1:]...)
		},
		"side": func(r *record.Readings) { r.SeenFrom = "left" },
	} {
		q := in
		change(&q)
		var f *fault.FieldError
		if err := r.SetReadings(at, q); !errors.As(err, &f) {
			t.Errorf("%s: %v", name, err)
		}
		if encoded(t, r) != before {
			t.Fatalf("%s: the record has changed", name)
		}
	}
	for _, bad := range []string{"/parts/0/rear/thickness", "/parts/0/rear/pilot/sweep", "/parts/0/bores/0/sweep", "/parts/0/bores/9/sweep", "/parts/0/bores/1", "/parts/1/rear/sweep", ""} {
		if err := r.SetReadings(bad, in); !errors.Is(err, fault.ErrUnknownName) {
			t.Errorf("%q: %v", bad, err)
		}
	}
}

// Readings on a thickness of a candidate, by the candidate's name with escapes.
func TestRecord_ReadingsAt_places(t *testing.T) {
	text := strings.Replace(small, `"joints"`, `"candidates": {"tail": [{"name": "spare", "front": {"pilot": {"kind": "spigot", "sweep": {"readings": [1, 2, 3]}, "diameter": 5}, "dowels": [{"name": "d", "centre": [0, 3.5], "diameter": 0.376}]}, "rear": {"thickness": {"radius": 3, "readings": [2, 2.001, 2.002], "unit": "mm"}}, "bores": [{"name": "bush", "centre": [0, 0, 10]}]}]}, "joints"`, 1)
	text = strings.Replace(text, `"rear": {"thickness"`, `"note": "", "rear": {"thickness"`, 1)
	text = strings.Replace(text, `"note": "", `, ``, 1)
	r := decode(t, text)
	for pointer, unit := range map[string]string{"/candidates/tail/0/rear/thickness": "mm", "/candidates/tail/0/front/pilot/sweep": "in"} {
		got, err := r.ReadingsAt(pointer)
		if err != nil || len(got.Readings) != 3 || got.Unit != unit {
			t.Errorf("%s: %+v, %v", pointer, got, err)
		}
		again, err := record.ReadReadings(strings.NewReader(writeReadings(t, got, record.Columns{Order: columns("reading"), Unit: unit, Decimal: ".", Separator: ","})), record.Columns{Order: columns("reading"), Unit: unit, Decimal: ".", Separator: ","})
		if err != nil || !reflect.DeepEqual(got, again) {
			t.Errorf("%s: %+v, %v", pointer, again, err)
		}
	}
}

func ExampleRecord_SetPoints() {
	r, err := record.Decode(strings.NewReader(`{
	 "format": "borestack-record/1", "units": {"length": "mm"}, "joints": [],
	 "parts": [{"name": "plate", "rear": {"diameter": 180}}]
	}`))
	if err != nil {
		fmt.Println(err)
		return
	}
	pts, err := record.ReadPoints(strings.NewReader("80,0,12.012\n-40,69.28,12.004\n-40,-69.28,12.000\n"),
		record.Columns{Order: []record.Column{{Is: "x"}, {Is: "y"}, {Is: "z"}}, Unit: "mm", Decimal: ".", Separator: ","})
	if err != nil {
		fmt.Println(err)
		return
	}
	if err := r.SetPoints("/parts/0/rear", pts, "mm"); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(r.Parts[0].Rear.Points), r.Parts[0].Rear.Points[2][2].Text)
	// Output: 3 12.000
}
