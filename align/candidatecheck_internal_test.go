package align

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// A candidate is checked with what it touches alone; it has the faults that the whole box has with
// it in place, no more and no fewer.
//
// Source: a second method: the check of the whole box.
func TestStack_Validate_candidateInPlace(t *testing.T) {
	breaks := map[string]func(p *Part){
		"sound":             func(*Part) {},
		"no front":          func(p *Part) { p.Front = nil },
		"no rear":           func(p *Part) { p.Rear = nil },
		"no bores":          func(p *Part) { p.Bores = nil },
		"another bore":      func(p *Part) { p.Bores[0].Name = "elsewhere" },
		"no dowels":         func(p *Part) { p.Front.Dowels, p.Rear.Dowels = nil, nil },
		"no pilots":         func(p *Part) { p.Front.Pilot, p.Rear.Pilot = nil, nil },
		"no material":       func(p *Part) { p.Material = tolerance.Optional[tolerance.Material]{} },
		"thin":              func(p *Part) { p.Rear.Z = -1 },
		"not a number":      func(p *Part) { p.Bores[0].Centre.X = tolerance.Length(math.NaN()) },
		"two faults":        func(p *Part) { p.Bores[0].Diameter, p.Rear.Slope.X = tolerance.Given(tolerance.Length(-1)), 20 },
		"a nameless part":   func(p *Part) { p.Name = "" },
		"warm, no material": func(p *Part) { p.Material.Given, p.Temperature = false, tolerance.Given(tolerance.Celsius(60)) },
	}
	rng := rand.New(rand.NewPCG(12, 6))
	found := 0
	for trial := range 20 {
		s := plainStack(rng)
		for i := range s.Parts {
			s.Parts[i].Material = tolerance.Given(tolerance.Material{Name: "invented", Expansion: 1e-5})
		}
		s.States = []State{{Name: "hot", Temperatures: []StateTemperature{{Of: s.Parts[1].Name, Temperature: 60}}}}
		if err := s.Validate(); err != nil {
			t.Fatal(trial, err)
		}
		for name, change := range breaks {
			if s.Parts[1].Front == nil || s.Parts[1].Rear == nil || len(s.Parts[1].Bores) == 0 {
				continue
			}
			c := Stack{Parts: []Part{s.Parts[1]}}.Clone().Parts[0]
			c.Name = "candidate"
			change(&c)
			with := s
			with.Candidates = []Candidates{{Place: s.Parts[1].Name, Parts: []Part{c}}}
			at := "/candidates/" + s.Parts[1].Name + "/0"
			var got, want []string
			for _, err := range fault.List(with.Validate()) {
				var f *fault.FieldError
				if errors.As(err, &f) && f.Path != at+"/name" {
					got = append(got, fmt.Sprint(f.Value, " ", strings.Split(f.Want, " (with this")[0]))
				}
			}
			for _, err := range fault.List(s.withPart(1, c).Validate()) {
				var f *fault.FieldError
				if errors.As(err, &f) {
					want = append(want, fmt.Sprint(f.Value, " ", f.Want))
				}
			}
			found += len(want)
			if fmt.Sprint(got) != fmt.Sprint(want) {
				t.Errorf("trial %d, %s: %q in place, %q by the whole box", trial, name, got, want)
			}
		}
	}
	if found < 100 {
		t.Errorf("only %d faults", found)
	}
}
