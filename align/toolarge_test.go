package align_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	. "example.com/borestack/tolerance"
)

// onMany is the pair with a shaft on n supports of the case.
func onMany(n int) align.Stack {
	s := pair(150.06, 150)
	for k := range n {
		name := fmt.Sprint("b", k)
		s.Parts[0].Bores = append(s.Parts[0].Bores, align.Bore{Name: name, Centre: align.Vec3{Z: Length(k)}})
		s.Shafts[0].Supports = append(s.Shafts[0].Supports, align.Support{Bore: "case/" + name, Clearance: 0.1})
	}
	s.Shafts[0].Supports = s.Shafts[0].Supports[3:]
	return s
}

// ringed is the pair seated on so many points a face.
func ringed(n int) align.Stack {
	s := pair(150.06, 150)
	s.Joints[0].SeatOnPoints = true
	s.Parts[0].Rear.Z = 0
	for k := range n {
		a := 2 * math.Pi * float64(k) / float64(n)
		at := align.Vec3{X: Length(90 * math.Cos(a)), Y: Length(90 * math.Sin(a))}
		s.Parts[1].Front.Points = append(s.Parts[1].Front.Points, at)
		at.Z = 100
		s.Parts[0].Rear.Points = append(s.Parts[0].Rear.Points, at)
	}
	return s
}

// What would take more than a second or two to solve is refused, at its place; what is just below
// the bounds is not.
//
// Source: hand calculation: counts. A support is one circle and a bush two; a joint that lies
// anywhere has its pilot, pins and bolts for bounds; every point of one face meets every one of the other.
func TestStack_Validate_tooMuchWork(t *testing.T) {
	bushes, coupled, apart := onMany(17), onMany(16), onMany(16)
	for k := range bushes.Shafts[0].Supports {
		bushes.Shafts[0].Supports[k].Kind, bushes.Shafts[0].Supports[k].Width = align.Bush, 10
	}
	for _, s := range []*align.Stack{&coupled, &apart} {
		second := align.Shaft{Name: "second"}
		for k := range 16 {
			name := fmt.Sprint("c", k)
			s.Parts[1].Bores = append(s.Parts[1].Bores, align.Bore{Name: name, Centre: align.Vec3{Z: Length(k)}})
			second.Supports = append(second.Supports, align.Support{Bore: "tail/" + name, Clearance: 0.1})
		}
		s.Shafts = append(s.Shafts, second)
	}
	coupled.Pockets = []align.Pocket{{Name: "pocket", Between: [2]string{"main", "second"}, Z: 100, Clearance: 0.1}}
	bolted := func(lie align.Lie, bolts int) align.Stack {
		s := onMany(32)
		s.Joints[0].Lies, s.Joints[0].BoltClearance = lie, Given(Diametral(1))
		for k := range bolts {
			a := 2 * math.Pi * float64(k) / float64(bolts)
			s.Joints[0].Bolts = append(s.Joints[0].Bolts, align.Vec2{X: Length(90 * math.Cos(a)), Y: Length(90 * math.Sin(a))})
		}
		return s
	}
	measured := bolted(align.LiesAny, 64)
	measured.Joints[0].Float = &align.Float{}
	candidates := ringed(2001)
	candidates.Candidates = []align.Candidates{{Place: "tail"}}
	for k := range 4 {
		other := candidates.Parts[1]
		other.Name = fmt.Sprint("tail ", k)
		candidates.Candidates[0].Parts = append(candidates.Candidates[0].Parts, other)
	}
	for name, c := range map[string]struct {
		box  align.Stack
		path string // empty: not refused
	}{
		"32 supports":                           {onMany(32), ""},
		"33 supports":                           {onMany(33), "/shafts/0/supports"},
		"17 bushes":                             {bushes, "/shafts/0/supports"},
		"16 and 16 supports and a pocket":       {coupled, "/shafts/0/supports"},
		"16 and 16 supports":                    {apart, ""},
		"61 bolts anywhere on 32 supports":      {bolted(align.LiesAny, 61), ""}, // 62·32 = 1,984
		"62 bolts anywhere on 32 supports":      {bolted(align.LiesAny, 62), "/joints"},
		"64 bolts at rest on 32 supports":       {bolted(align.LiesRest, 64), ""},
		"64 bolts as measured on 32 supports":   {measured, ""},
		"4,473 points a face":                   {ringed(4473), "/joints/0/seat"}, // 4,473² = 20,007,729
		"2,001 points a face, of five tails":    {candidates, "/joints/0/seat"},   // 5·2,001² = 20,020,005
		"300 points a face, which can be tried": {ringed(300), ""},
	} {
		err := c.box.Validate()
		var f *fault.FieldError
		switch {
		case c.path == "" && err != nil:
			t.Errorf("%s: %v", name, err)
		case c.path != "" && (!errors.Is(err, fault.ErrTooMany) || !errors.As(err, &f) || f.Path != c.path):
			t.Errorf("%s: %v", name, err)
		}
	}
}
