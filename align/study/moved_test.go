package study_test

import (
	"math"
	"os"
	"slices"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// A sound box is worked out wherever one bush is moved to: the governing distances of a line that many supports hold agree only to rounding, and that is no reason to give up.
func TestSolve_movedBush(t *testing.T) {
	text, err := os.ReadFile("../../examples/driveline/harbour-launch.json")
	if err != nil {
		t.Fatal(err)
	}
	stack, err := decode(t, string(text)).Stack()
	if err != nil {
		t.Fatal(err)
	}
	for _, plate := range []int{0, 2} {
		s, err := stack.WithCandidate("plate", plate)
		if err != nil {
			t.Fatal(err)
		}
		for i := range s.Joints {
			s.Joints[i].Lies = align.LiesRest
		}
		tail := slices.IndexFunc(s.Parts, func(p align.Part) bool { return p.Name == "tail" })
		sweep := s.Parts[tail].Bores[0].Sweep
		if sweep == nil {
			t.Fatal("the tail's bush is not swept")
		}
		for _, deg := range []float64{0, 60, 135, 150, 210, 300} {
			for _, v := range []float64{0.1, 0.24, 0.26, 0.28} {
				q := s
				q.Parts = slices.Clone(s.Parts)
				q.Parts[tail].Bores = slices.Clone(s.Parts[tail].Bores)
				w := *sweep
				w.Values = nil
				for k, station := range sweep.Values {
					theta := float64(sweep.First) + 2*math.Pi*float64(k)/float64(len(sweep.Values))
					if len(sweep.At) > 0 {
						theta = float64(sweep.At[k])
					}
					var moved []tolerance.Length
					for _, r := range station {
						moved = append(moved, r-tolerance.Length(v*math.Cos(theta-deg*math.Pi/180)))
					}
					w.Values = append(w.Values, moved)
				}
				q.Parts[tail].Bores[0].Sweep = &w
				if _, err := q.Solve(); err != nil {
					t.Errorf("plate %d, bush moved %.2f towards %g°: %v", plate, v, deg, err)
				}
			}
		}
	}
}
