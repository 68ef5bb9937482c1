package specify

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// engaged is a random box whose registers feel a lean, resting or anywhere, with or without pins.
func engaged(r *rand.Rand) Ask {
	s, limits := random(r)
	limits[0].AtRest, limits[1].AtRest = r.IntN(2) == 0, r.IntN(2) == 0
	for k := range s.Joints {
		j := &s.Joints[k]
		*j = align.Joint{Engagement: tolerance.Given(tolerance.Length(4 + 8*r.Float64()))}
		if r.IntN(2) == 0 {
			for _, f := range []*align.Face{s.Parts[k].Rear, s.Parts[k+1].Front} {
				f.Dowels = []align.Dowel{{Name: "peg", Centre: align.Vec2{X: 60}, Diameter: 8.01}}
			}
			j.Pins = []align.Pin{{Dowel: "peg", Diameter: 8}}
		}
	}
	return Ask{Stack: s, Limits: limits, Callouts: Callouts(s, limits...), Samples: 2000}
}

// box is the stack with deviations of callouts in it, by what they name.
func (a *Ask) box(t *testing.T, at func(k int) [2]float64) align.Stack {
	s := a.Stack.Clone()
	part := func(name string) *align.Part {
		return &s.Parts[slices.IndexFunc(s.Parts, func(p align.Part) bool { return p.Name == name })]
	}
	lean := map[*align.Face]align.Slope{}
	for k := range a.Callouts {
		c, d := &a.Callouts[k], at(k)
		shift := func(v *align.Vec2) { v.X, v.Y = v.X+tolerance.Length(d[0]), v.Y+tolerance.Length(d[1]) }
		words := strings.Split(c.Feature, ", ")
		name, bore, isBore := strings.Cut(words[0], "/")
		p := part(name)
		if isBore {
			b := &p.Bores[slices.IndexFunc(p.Bores, func(b align.Bore) bool { return b.Name == bore })]
			if c.Kind == Perpendicularity {
				b.Slope = align.Slope{X: d[0], Y: d[1]}
			} else {
				b.Centre.X, b.Centre.Y = b.Centre.X+tolerance.Length(d[0]), b.Centre.Y+tolerance.Length(d[1])
			}
			continue
		}
		f := p.Front
		if strings.Contains(c.Feature, "rear") {
			f = p.Rear
		}
		switch {
		case c.Kind == Flatness || c.Kind == Parallelism:
			f.Slope = align.Slope{X: d[0], Y: d[1]}
		case c.Kind == Perpendicularity:
			lean[f] = align.Slope{X: d[0], Y: d[1]}
		case strings.Contains(c.Feature, "pilot"):
			shift(&f.Pilot.Centre)
		case strings.Contains(c.Feature, "dowel"):
			shift(&f.Dowels[0].Centre)
		default:
			t.Fatalf("%s", c.Name())
		}
	}
	for f, l := range lean {
		f.Pilot.Slope = tolerance.Given(align.Slope{X: l.X - f.Slope.X, Y: l.Y - f.Slope.Y})
	}
	return s
}

// fails says what a box fails of the limits, by the box itself.
func (a *Ask) fails(t *testing.T, s align.Stack) string {
	shape, err := s.Solve()
	if err != nil {
		t.Fatal(err)
	}
	for _, j := range shape.Joints {
		if !j.Assembles || j.Pilot.Strain > 0 {
			return fmt.Sprintf("%s assembles %v, strained by %g", j.Name, j.Assembles, j.Pilot.Strain)
		}
	}
	for _, l := range a.Limits {
		of := s.Clone()
		for k := range of.Joints {
			if l.AtRest {
				of.Joints[k].Lies = align.LiesRest
			}
		}
		got, _, err := of.Ranges([]align.Output{l.Output})
		if err != nil {
			t.Fatal(err)
		}
		const rounding = 1e-7
		if q := got[0]; l.Least.Given && q.Low.Value < l.Least.Value-rounding || l.Greatest.Given && q.High.Value > l.Greatest.Value+rounding {
			return fmt.Sprintf("%s at %g to %g of %+v", l.Name(), q.Low.Value, q.High.Value, l.Limits)
		}
	}
	return ""
}

// Pilots lean within their callouts, and no register is strained by worst case; by yield so many boxes are in order
// as is said, strained ones not.
//
// Source: boxes with leans in them, each worked out by the box itself.
func TestSpecify_leans(t *testing.T) {
	stacks, err := strconv.Atoi(cmp.Or(os.Getenv("SPECIFY_STACKS"), "2"))
	if err != nil {
		t.Fatal(err)
	}
	for seed := range stacks {
		r := rand.New(rand.NewPCG(uint64(seed), 8))
		a := engaged(r)
		w, err := a.Specify(t.Context())
		if err != nil {
			t.Fatalf("stack %d: %v", seed, err)
		}
		const boxes = 60
		for range boxes {
			s := a.box(t, func(k int) [2]float64 {
				sin, cos := math.Sincos(2 * math.Pi * r.Float64())
				rim := w.Callouts[k].radius(float64(w.Callouts[k].Zone))
				return [2]float64{rim * cos, rim * sin}
			})
			if wrong := a.fails(t, s); wrong != "" {
				t.Errorf("stack %d: %s", seed, wrong)
			}
		}
		a.Yield = tolerance.Given(0.9)
		if w, err = a.Specify(t.Context()); err != nil {
			t.Fatalf("stack %d: %v", seed, err)
		}
		good := 0
		for range boxes {
			s := a.box(t, func(k int) [2]float64 {
				for {
					u, v := r.NormFloat64()/3, r.NormFloat64()/3
					if math.Hypot(u, v) <= 1 {
						rim := w.Callouts[k].radius(float64(w.Callouts[k].Zone))
						return [2]float64{rim * u, rim * v}
					}
				}
			})
			if a.fails(t, s) == "" {
				good++
			}
		}
		// Source: four standard deviations of a share.
		if got, sd := float64(good)/boxes, math.Sqrt(w.Yield.Value*(1-w.Yield.Value)/boxes); math.Abs(got-w.Yield.Value) > 4*sd+1./boxes {
			t.Errorf("stack %d: %g of boxes in order, said %+v", seed, got, w.Yield)
		}
		t.Logf("stack %d: %d %d of %d, said %+v", seed, len(a.Callouts), good, boxes, w.Yield)
	}
}
