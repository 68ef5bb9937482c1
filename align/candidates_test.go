package align

import (
	"errors"
	"fmt"
	"strings"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Bins to pair may hold hundreds of parts; what checking each would cost is bounded as well.
//
// Source: the bounds as stated in validate.go.
func TestValidate_candidates(t *testing.T) {
	bins := func(parts, points int) Stack {
		s := capped([]float64{0.1, 0.1}, [3]float64{}, [3]float64{0, 0, 100})
		s.Parts[0].Rear = &Face{Z: 120, Points: make([]Vec3, points)}
		for i := range s.Parts[0].Rear.Points {
			s.Parts[0].Rear.Points[i] = Vec3{X: 1 + tolerance.Length(i%7), Y: tolerance.Length(i % 5), Z: 120}
		}
		if points == 0 {
			s.Parts[0].Rear = nil
		}
		q := Candidates{Place: "bed"}
		for i := range parts {
			p := s.Parts[0]
			p.Name = fmt.Sprint("bed ", i)
			q.Parts = append(q.Parts, p)
		}
		s.Candidates = []Candidates{q}
		return s
	}
	if err := bins(400, 0).Validate(); err != nil {
		t.Errorf("400: %v", err)
	}
	for name, s := range map[string]Stack{"1001 in all": bins(1001, 0), "400 beside 20,000 points": bins(400, 20000)} {
		if err := s.Validate(); !errors.Is(err, fault.ErrTooMany) || !strings.Contains(err.Error(), "/candidates/bed") {
			t.Errorf("%s: %v", name, err)
		}
	}
	// Faults of candidates are not listed for ever.
	s := bins(1000, 0)
	for i := range s.Candidates[0].Parts {
		s.Candidates[0].Parts[i].Bores = nil
	}
	if n := len(fault.List(s.Validate())); n == 0 || n > 2*maxListed {
		t.Errorf("%d faults listed", n)
	}
}
