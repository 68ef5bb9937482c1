package record_test

import (
	"errors"
	"os"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
)

// A word that nobody knows, or a required one that is missing, in a record made in Go: an error at its place, never the default.
func TestRecord_Stack_unknownWords(t *testing.T) {
	for _, c := range []struct {
		at   string
		slip func(r *record.Record)
	}{
		{"/units/length", func(r *record.Record) { r.Units.Length = "foot" }},
		{"/units/length", func(r *record.Record) { r.Units.Length = "" }},
		{"/accept/0/output/kind", func(r *record.Record) { r.Accept[0].Output.Kind = "magrin" }},
		{"/accept/0/output/kind", func(r *record.Record) { r.Accept[0].Output.Kind = "" }},
		{"/accept/0/over", func(r *record.Record) { r.Accept[0].Over = "best" }},
		{"/vary/0/law", func(r *record.Record) { r.Vary = []record.Vary{vary("gauss", "")} }},
		{"/vary/0/law", func(r *record.Record) { r.Vary = []record.Vary{vary("", "")} }},
		{"/vary/0/law", func(r *record.Record) { r.Vary = []record.Vary{vary("normal", "uniform")} }},
		{"/vary/0/because", func(r *record.Record) {
			r.Vary = []record.Vary{vary("normal", "")}
			r.Vary[0].Because = "guage"
		}},
		{"/vary/0/law", func(r *record.Record) {
			r.Vary = []record.Vary{{Float: "case|plate", Law: record.Law{Word: "shaken"}}}
		}},
		{"/vary/0/law", func(r *record.Record) { r.Vary = []record.Vary{{Float: "case|plate"}} }},
		{"/joints/0/lies", func(r *record.Record) { r.Joints[0].Lies = "anywhere" }},
		{"/joints/0/rules", func(r *record.Record) { r.Joints[0].Rules = "faces" }},
		{"/joints/0/seat", func(r *record.Record) { r.Joints[0].Seat = "point" }},
		{"/joints/0/pins/0/pressed", func(r *record.Record) {
			r.Joints[0].Pins = []record.Pin{{Dowel: "a", Diameter: record.Num(8), Pressed: "both"}}
		}},
		{"/parts/0/rear/pilot/kind", func(r *record.Record) {
			r.Parts[0].Rear = &record.Face{Pilot: &record.Pilot{Kind: "socket", Diameter: record.Num(10)}}
		}},
		{"/parts/0/material", func(r *record.Record) { r.Parts[0].Material = &record.Material{Name: "unobtainium"} }},
		{"/shafts/0/supports/0/kind", func(r *record.Record) { r.Shafts[0].Supports[0].Kind = "roller" }},
		{"/pockets/0/between", func(r *record.Record) {
			r.Pockets = []record.Pocket{{Name: "p", Between: []string{"main"}, Z: record.Num(1), Clearance: record.Num(0.1)}}
		}},
		{"/candidates/plate/0/rear/sweep/positive", func(r *record.Record) {
			r.Candidates = record.Named[[]record.Part]{{Name: "plate", Value: []record.Part{{Rear: &record.Face{Sweep: &record.Sweep{Positive: "inward"}}}}}}
		}},
		{"/parts/0/rear/sweep/unit", func(r *record.Record) {
			r.Parts[0].Rear = &record.Face{Sweep: &record.Sweep{Readings: record.Readings{Unit: "micron"}}}
		}},
		{"/parts/0/rear/sweep/seen_from", func(r *record.Record) {
			r.Parts[0].Rear = &record.Face{Sweep: &record.Sweep{Readings: record.Readings{SeenFrom: "front"}}}
		}},
	} {
		r := wordy(t)
		if _, err := r.Stack(); err != nil {
			t.Fatal("before the slip:", err)
		}
		c.slip(r)
		_, err := r.Stack()
		var f *fault.FieldError
		if !errors.As(err, &f) || f.Path != c.at {
			t.Errorf("%s: %v", c.at, err)
		}
	}
}

func vary(kind, word string) record.Vary {
	return record.Vary{Name: "v", At: record.Pointers{List: []string{"/shafts/0/supports/0/clearance"}}, Law: record.Law{Kind: kind, Word: word, Keys: []record.LawKey{{Key: kind, Numbers: []record.Number{record.Num(0.01)}}}}}
}

// wordy is a record that decodes, to make slips in.
func wordy(t *testing.T) *record.Record {
	t.Helper()
	text, err := os.ReadFile("../../testdata/records/shop-plates.json")
	if err != nil {
		t.Fatal(err)
	}
	r, err := record.Decode(strings.NewReader(string(text)))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Every text field of a record with a list of words is checked: found here by reflection, so that a new key cannot be forgotten.
func TestRecord_Stack_everyWordIsChecked(t *testing.T) {
	checked := 0
	var walk func(v reflect.Value, rule, at string, check func(string))
	walk = func(v reflect.Value, rule, at string, check func(string)) {
		switch v.Kind() {
		case reflect.Pointer:
			v.Set(reflect.New(v.Type().Elem()))
			walk(v.Elem(), rule, at, check)
			if v.Type() != reflect.TypeFor[*record.Number]() {
				v.SetZero()
			}
		case reflect.Slice:
			v.Set(reflect.MakeSlice(v.Type(), 1, 1))
			walk(v.Index(0), rule, at+"/"+strconv.Itoa(0), check)
			v.SetZero()
		case reflect.Struct:
			for i := range v.NumField() {
				f := v.Type().Field(i)
				if !f.IsExported() {
					continue
				}
				key, _, _ := strings.Cut(f.Tag.Get("json"), ",")
				if f.Anonymous {
					walk(v.Field(i), "", at, check)
					continue
				}
				if key == "" { // of a type that reads itself
					continue
				}
				walk(v.Field(i), f.Tag.Get("rule"), at+"/"+key, check)
			}
		case reflect.String:
			if strings.Contains(rule, "|") || strings.Contains(rule, "unit") || strings.Contains(rule, "quantity") {
				v.SetString("no such word")
				check(at)
				v.SetString("")
				checked++
			}
		}
	}
	var r record.Record
	walk(reflect.ValueOf(&r).Elem(), "", "", func(at string) {
		_, err := r.Stack()
		if err == nil || !strings.Contains(err.Error(), "\"no such word\"") {
			t.Errorf("%s: %v", at, err)
		}
	})
	if checked < 20 {
		t.Errorf("%d words found", checked)
	}
}
