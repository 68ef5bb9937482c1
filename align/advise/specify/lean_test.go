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
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// engaged is a box whose registers feel a lean, resting or anywhere, with or without a peg: of two parts, or a random
// one.
func engaged(r *rand.Rand, seed int, small bool) Ask {
	s, limits := pegged()
	for i := range s.Shafts[0].Supports {
		s.Shafts[0].Supports[i].Clearance = 0.08
	}
	if !small {
		s, limits = random(r)
	}
	limits[0].AtRest = seed&1 == 0
	for k := range s.Joints {
		j := &s.Joints[k]
		*j = align.Joint{Engagement: tolerance.Given(tolerance.Length(4 + 8*r.Float64()))}
		for _, f := range []*align.Face{s.Parts[k].Rear, s.Parts[k+1].Front} {
			f.Dowels = []align.Dowel{{Name: "peg", Centre: align.Vec2{X: 60}, Diameter: 8.01}}
			f.Diameter = tolerance.Given[tolerance.Length](160) // so that a strained joint may follow its pilot
		}
		if seed%3 == 0 {
			j.Pins = []align.Pin{{Dowel: "peg", Diameter: 8}}
		}
	}
	return Ask{Stack: s, Limits: limits, Callouts: Callouts(s, limits...), Samples: 500}
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
		if over := j.Pilot.Lean.Size() - j.Pilot.LeanRoom.Value; !j.Assembles || over > 1e-12 { // strained, whether or not it follows its pilot
			return fmt.Sprintf("%s assembles %v, leans by %g too much", j.Name, j.Assembles, over)
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
	const few = 2
	stacks, err := strconv.Atoi(cmp.Or(os.Getenv("SPECIFY_STACKS"), strconv.Itoa(few)))
	if err != nil {
		t.Fatal(err)
	}
	for seed := range stacks {
		r := rand.New(rand.NewPCG(uint64(seed), 8))
		a := engaged(r, seed, stacks == few)
		w, err := a.Specify(t.Context())
		if err != nil {
			t.Fatalf("stack %d: %v", seed, err)
		}
		const boxes = 100
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
	}
}

// Pilots are called out where a lean is felt: with an engagement, and with clearance in every state of limits, of both
// at the joint, to their own faces.
//
// Source: hand calculation: a spigot of 100 mm in a bore of 100.02 mm, 1 K warmer by 1.2e-5/K, has grown 0.0012 mm,
// 20 K warmer 0.024 mm.
func TestCallouts_leans(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*align.Stack, *record.Limit)
		want  int
	}{
		"engaged":       {func(*align.Stack, *record.Limit) {}, 2},
		"no engagement": {func(s *align.Stack, _ *record.Limit) { s.Joints[0].Engagement = tolerance.Optional[tolerance.Length]{} }, 0},
		"no length":     {func(s *align.Stack, _ *record.Limit) { s.Joints[0].Engagement.Value = 0 }, 0},
		"squeezed":      {func(s *align.Stack, _ *record.Limit) { s.Parts[1].Front.Pilot.Diameter = 100.03 }, 0},
		"no clearance":  {func(s *align.Stack, _ *record.Limit) { s.Parts[1].Front.Pilot.Diameter = 100.02 }, 0},
		"no pilot":      {func(s *align.Stack, _ *record.Limit) { s.Parts[1].Front.Pilot = nil }, 0},
		"warm":          {func(_ *align.Stack, l *record.Limit) { l.State = "warm" }, 2},
		"hot":           {func(_ *align.Stack, l *record.Limit) { l.State = "hot" }, 0},
		"no such state": {func(_ *align.Stack, l *record.Limit) { l.State = "cold" }, 0},
	} {
		s, limits := pegged()
		s.Joints[0].Engagement = tolerance.Given[tolerance.Length](6)
		s.Parts[1].Material = tolerance.Given(tolerance.Material{Expansion: 1.2e-5})
		s.States = []align.State{
			{Name: "warm", Temperatures: []align.StateTemperature{{Of: "tail", Temperature: 21}}}, {Name: "hot", Temperatures: []align.StateTemperature{{Of: "tail", Temperature: 40}}},
		}
		c.spoil(&s, &limits[0])
		var found []string
		for _, q := range Callouts(s, limits...) {
			if q.Kind == Perpendicularity {
				found = append(found, q.Name())
			}
		}
		both := []string{"perpendicularity of case, rear pilot to case, rear face", "perpendicularity of tail, front pilot to tail, front face"}
		if !slices.Equal(found, both[:c.want]) {
			t.Errorf("%s: %q, want %d", name, found, c.want)
		}
	}
}

// What a lean takes of its register, and what is general.
//
// Source: hand calculation: zones of Ø 0.006 and Ø 0.004 mm over 6 mm of engagement lean by 0.01/6, which takes 0.01 of
// 0.02 mm; of Ø 0.015 each 1.5 times the clearance, whatever faces are out of flat or parallel. ISO 2768-2:1989, table 2,
// class H: 0.2 mm up to 100 mm (from memory).
func TestCheck_leans(t *testing.T) {
	s, limits := pegged()
	s.Joints = []align.Joint{{Engagement: tolerance.Given[tolerance.Length](6)}}
	a := Ask{Stack: s, Limits: limits, Callouts: Callouts(s, limits...), Samples: 100}
	for zones, want := range map[[2]tolerance.Length]float64{{0.006, 0.004}: 0.5, {0.015, 0.015}: -0.5, {0.2, 0.2}: -19} {
		leans := 0
		for k := range a.Callouts {
			if a.Callouts[k].Zone = 0.01; a.Callouts[k].Kind == Perpendicularity {
				a.Callouts[k].Zone = zones[leans]
				leans++
			}
		}
		r, err := a.Check(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		last := r.Worst[len(r.Worst)-1]
		if last.Limit != "assembly of case|tail" || math.Abs(last.Left-want) > 1e-4*math.Abs(want) {
			t.Errorf("zones %v: %s left %g, want %g", zones, last.Limit, last.Left, want)
		}
		for k, c := range r.Callouts {
			if c.Kind == Perpendicularity && r.General[k] != (c.Zone == 0.2) {
				t.Errorf("%s of %v: general %v", c.Name(), c.Zone, r.General[k])
			}
		}
	}
}

// A part that lies anywhere lies no worse where pilots lean: the float is less.
//
// Source: the same zones without those of a lean.
func TestWorst_anywhere(t *testing.T) {
	s, limits := pegged()
	s.Joints = []align.Joint{{Engagement: tolerance.Given[tolerance.Length](6)}}
	var left [2]float64
	for i := range left {
		a := Ask{Stack: s, Limits: limits, Callouts: Callouts(s, limits...), Samples: 10}
		if i == 1 {
			a.Callouts = slices.DeleteFunc(a.Callouts, func(c Callout) bool { return c.Kind == Perpendicularity })
		}
		for k := range a.Callouts {
			a.Callouts[k].Zone = 0.09 // strained, too, which is a limit of its own
		}
		r, err := a.Check(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		left[i] = r.Worst[0].Left
	}
	if math.Abs(left[0]-left[1]) > 1e-7 {
		t.Errorf("%.9g left, with pilots square %.9g", left[0], left[1])
	}
}

// Holes at maximum material go together less often at their smallest, where zones are wider than the clearance.
//
// Source: holes of the drawn size, which is the smallest.
func TestCheck_smallestHoles(t *testing.T) {
	s, limits := pegged()
	a := Ask{Stack: s, Limits: limits, Callouts: Callouts(s), Samples: 1000}
	var share [2]float64
	for i, size := range []tolerance.Length{0, 0.03} {
		for k := range a.Callouts {
			c := &a.Callouts[k]
			c.Zone, c.AtMaximum, c.Size = 0.03, c.widen != nil, size
		}
		r, err := a.Check(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		share[i] = r.Yield.Value
	}
	if !(share[0] < share[1]-0.02) {
		t.Errorf("at their smallest %g go together, at their largest %g", share[0], share[1])
	}
}
