package study

import (
	"context"
	"errors"
	"os"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// A word set in Go that nobody knows is an error at its place from every entry point, never the default.
func TestUnknownWords(t *testing.T) {
	text, err := os.ReadFile("../../testdata/records/shop-plates.json")
	if err != nil {
		t.Fatal(err)
	}
	set := stackup.Settings{Samples: 256, Seed: 1}
	for _, c := range []struct {
		at   string
		slip func(r *record.Record)
	}{
		{"/vary/0/law", func(r *record.Record) { r.Vary[0].Law.Kind = "gauss" }},
		{"/vary/0/because", func(r *record.Record) { r.Vary[0].Because = "guage" }},
		{"/accept/0/output/kind", func(r *record.Record) { r.Accept[0].Output.Kind = "magrin" }},
	} {
		r, err := record.Decode(strings.NewReader(string(text)))
		if err != nil {
			t.Fatal(err)
		}
		r.Vary = []record.Vary{{Name: "v", At: record.Pointers{List: []string{"/shafts/0/supports/0/clearance"}}, Law: record.Law{Kind: "normal", Keys: []record.LawKey{{Key: "normal", Numbers: []record.Number{record.Num(1e-4)}}}}}}
		if _, err := Vary(t.Context(), r, set); err != nil {
			t.Fatal("before the slip:", err)
		}
		c.slip(r)
		for name, do := range map[string]func() error{
			"Run":   func() error { _, err := Run(context.Background(), r); return err },
			"Vary":  func() error { _, err := Vary(context.Background(), r, set); return err },
			"Shard": func() error { _, err := Shard(context.Background(), r, set); return err },
		} {
			var f *fault.FieldError
			if err := do(); !errors.As(err, &f) || f.Path != c.at {
				t.Errorf("%s: %s: %v", name, c.at, err)
			}
		}
	}
	v := record.Vary{Name: "v", Law: record.Law{Kind: "gauss", Keys: []record.LawKey{{Key: "gauss", Numbers: []record.Number{record.Num(1)}}}}, At: record.Pointers{List: []string{""}}}
	if in, err := inputOf(&v, tolerance.Millimetre); !errors.Is(err, fault.ErrUnknownName) {
		t.Errorf("%v, %v", in, err)
	}
}

// A source set in Go with other pointers than its law moves is an error at its place, never a panic.
func TestSources_pointers(t *testing.T) {
	const text = `{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [{"name": "bed", "bores": [{"name": "a", "centre": [0, 0, 5]}, {"name": "b", "centre": [0, 0, 90]}, {"name": "c", "centre": [0, 0, 190]}]}],
"joints": [], "references": [{"name": "l", "through": ["bed/a", "bed/b"]}], "accept": [{"output": {"kind": "offset", "of": "bed/c"}, "greatest": 0.1}],
"vary": [{"name": "v", "at": ["/parts/0/bores/2/centre/0", "/parts/0/bores/2/centre/1"], "law": {"normal": 0.01}}]}`
	const further = "/parts/0/bores/1/centre/0"
	for at, slip := range map[string]func(v *record.Vary){
		"/vary/0/also/0/at": func(v *record.Vary) { v.Also = []record.Also{{At: record.Pointers{List: []string{further}}}} },
		"/vary/0/at":        func(v *record.Vary) { v.At.List = append(v.At.List, further) },
		"/vary/0/at ":       func(v *record.Vary) { v.At.List = nil },
	} {
		for _, because := range []string{"process", "gauge"} {
			r, err := record.Decode(strings.NewReader(text))
			if err != nil {
				t.Fatal(err)
			}
			slip(&r.Vary[0])
			r.Vary[0].Because = because
			var f *fault.FieldError
			if _, err := Vary(t.Context(), r, stackup.Settings{Samples: 256, Seed: 1}); !errors.As(err, &f) || f.Path != strings.TrimSpace(at) {
				t.Errorf("Vary, %s, %s: %v", at, because, err)
			}
			if _, err := Run(t.Context(), r); because == "gauge" && (!errors.As(err, &f) || f.Path != strings.TrimSpace(at)) {
				t.Errorf("Run, %s, %s: %v", at, because, err)
			}
		}
	}
}
