package advise_test

import (
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	. "example.com/borestack/tolerance"
)

// dented is a box whose plate, 14 thick, was measured at points on one face, one of them 0.2 deep; how chooses the face and what measured it.
func dented(how string) advise.Box {
	b := randomBox(rand.New(rand.NewPCG(3, 1)))
	b.Stack.Candidates = nil
	p := &b.Stack.Parts[2]
	front, rear := *p.Front, *p.Rear
	front.Z, front.Slope, front.Points, front.Sweep = 0, align.Slope{}, nil, nil
	rear.Z, rear.Slope, rear.Points, rear.Thickness, rear.Sweep = 14, align.Slope{}, nil, nil, nil
	var points []align.Vec3
	sweep := &align.Sweep{Radius: 92}
	for k := range 12 {
		sn, cs := math.Sincos(float64(k) * math.Pi / 6)
		deep := Length(0)
		if k == 3 {
			deep = 0.2
		}
		points = append(points, align.Vec3{X: Length(92 * sn), Y: Length(92 * cs), Z: deep})
		sweep.Values = append(sweep.Values, []Length{-deep}) // the plunger comes out
	}
	switch how {
	case "rear points":
		for i := range points {
			points[i].Z = 14 - points[i].Z
		}
		rear.Z, rear.Points = 0, points
	case "front points":
		front.Points = points
	case "rear sweep":
		rear.Sweep = sweep
	case "front sweep, out":
		for _, v := range sweep.Values {
			v[0] = -v[0]
		}
		sweep.Out = true
		front.Sweep = sweep
	}
	p.Front, p.Rear = &front, &rear
	return b
}

// A low spot of a measured face counts as thickness: a skim that would leave the dent thinner than the part may be is refused, and the search stops before it.
//
// Source: hand calculation: 14 less the dent of 0.2 leaves 13.8, so that at most 0.2 may come off a part of at least 13.6. A sweep says heights but for their mean, 0.2/12 deep, which the record's z gives.
func TestSkim_lowSpots(t *testing.T) {
	for _, how := range []string{"rear points", "front points", "rear sweep", "front sweep, out"} {
		b := dented(how)
		shop := advise.Shop{Step: 0.01, ClockStep: 30 * Degree, Works: cuts(advise.Work{Place: "plate/rear", Most: 0.5, Least: Given[Length](13.6), Across: 184})}
		a, err := advise.Correct(context.Background(), b, shop)
		if err != nil {
			t.Fatal(how, err)
		}
		deepest := Length(0.2)
		if how == "rear sweep" || how == "front sweep, out" {
			deepest += 0.2 / 12 // the height that the record states is the mean's
		}
		if _, err := a.Try(context.Background(), advise.Correction{Kind: advise.Skim, Place: "plate/rear", By: deepest - 0.001, Across: 184}); err != nil {
			t.Errorf("%s: %v", how, err)
		}
		if _, err := a.Try(context.Background(), advise.Correction{Kind: advise.Skim, Place: "plate/rear", By: deepest + 0.001, Across: 184}); !errors.Is(err, advise.ErrNotPossible) {
			t.Errorf("%s: a skim that leaves the dent thinner than 13.6: %v", how, err)
		}
		for _, o := range a.Options {
			for _, c := range o.Corrections {
				sn := math.Sin(float64(c.Clock))
				at := float64(c.By+c.Rise/2) + float64(c.Rise)/2*sn // of the cut at 3 o'clock
				if at > float64(deepest)+1e-9 {
					t.Errorf("%s: %v takes %v off the dent", how, c.Kind, at)
				}
			}
		}
	}
}

// A level cut takes the waves of a face with it: measured points that it reaches lie in its plane afterwards, and one that lies deeper stays where it is. The old points were all moved by the cut, so that a seat on them was promised on waves that had been cut off.
//
// Source: hand calculation: twelve points at 14 but for one 0.024 deep have their plane 0.002 lower at the middle, 0.004 lower again towards the dent at the ring (a dent of h at one of m equal stations: mean h/m, first harmonic 2h/m); 0.03 comes off that.
func TestSkim_leavesAPlane(t *testing.T) {
	for _, rear := range []bool{true, false} {
		for _, by := range []Length{0.03, 0.01} {
			b := dented("rear points")
			place, out := "plate/rear", Length(1)
			p := &b.Stack.Parts[2]
			if !rear {
				b = dented("front points")
				place, out, p = "plate/front", -1, &b.Stack.Parts[2]
			}
			face := func(p *align.Part) *align.Face {
				if rear {
					return p.Rear
				}
				return p.Front
			}
			const dent = 0.024
			for i := range face(p).Points {
				if q := &face(p).Points[i]; i == 3 {
					q.Z += out * (0.2 - dent)
				}
			}
			after, err := advise.Correction{Kind: advise.Skim, Place: place, By: by, Across: 184}.Apply(b.Stack)
			if err != nil {
				t.Fatal(err)
			}
			for i, q := range face(&after.Parts[2]).Points {
				deep := map[bool]float64{true: dent}[i == 3] // before, below the sound face
				want := math.Max(deep, 0.002+0.004*math.Sin(float64(i)*math.Pi/6)+float64(by))
				if got := deep + float64(out*(face(p).Points[i].Z-q.Z)); math.Abs(got-want) > 1e-12 {
					t.Errorf("%s by %v: point %d is %v below where the sound face was, want %v", place, by, i, got, want)
				}
			}
		}
	}
}
