package advise_test

import (
	"math"
	"math/rand/v2"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	. "example.com/borestack/tolerance"
)

// fitterBox is an invented box for the literal fitter: a random one, with its plate end for end or clocked, readings from the nose, with the plunger out, at unequal stations or repeated, points, tapered gaskets, joints that may lie anywhere and a warm state, by turns. Readings state no uncertainty, which changes no order.
func fitterBox(rng *rand.Rand, k advise.Kind) (b advise.Box, registers bool) {
	one := func(in int) bool { return rng.IntN(in) == 0 }
	dowelled := k == advise.OffsetDowels || k == advise.Redowel
	turned, turn := one(4), one(4) || dowelled && !one(4)
	pinned := dowelled || k != advise.TurnOver && one(2)
	b = clocked(rng, turned && !pinned, turn && !pinned)
	s := &b.Stack
	if k == advise.TurnOver { // a dowel off the middle would not meet its hole
		s.Joints[1].Pins, s.Joints[2].Pins, registers = nil, nil, true
	}
	slope := func(size float64) align.Slope {
		return align.Slope{X: (2*rng.Float64() - 1) * size, Y: (2*rng.Float64() - 1) * size}
	}
	for i := range s.Joints {
		if one(2) && i > 0 {
			g := align.Gasket{Thickness: 0.3}
			if one(2) {
				g.Slope = slope(4e-4)
			}
			s.Joints[i].Gasket = &g
		}
		if k == advise.Push || one(6) {
			s.Joints[i].Lies = align.LiesAny
		}
	}
	if k == advise.Push && one(2) {
		for i := range s.Joints {
			s.Joints[i].Engagement = Optional[Length]{}
		}
	}
	tail := &s.Parts[3].Bores[0]
	if tail.Sweep != nil {
		w := tail.Sweep
		w.Uncertainty = Optional[Length]{}
		w.FromNose, w.Out, w.First = one(2), one(2), Angle(6*rng.Float64())
		if one(3) {
			w.Droop = 0.01
		}
	}
	readPlate(rng, &s.Parts[2])
	for _, c := range s.Candidates {
		for i := range c.Parts {
			readPlate(rng, &c.Parts[i])
			c.Parts[i].Turned = one(4)
		}
	}
	pushed := k == advise.Redowel || k == advise.Push                             // a seat on points leans a register by what no plane says
	if one(8) && !pushed && !turned && !turn && len(s.Parts[2].Rear.Points) > 0 { // the tail touches the plate where both were measured
		for _, q := range s.Parts[2].Rear.Points {
			s.Parts[3].Front.Points = append(s.Parts[3].Front.Points, align.Vec3{X: q.X, Y: q.Y, Z: Length(0.002 * (2*rng.Float64() - 1))})
		}
		s.Parts[3].Front.Slope = align.Slope{}
		s.Joints[2].SeatOnPoints = true
		s.Candidates = nil
	}
	if one(3) { // the case's rear face as points
		f := s.Parts[1].Rear
		z, tilt := f.Z, slopeOf(f.Slope)
		f.Z, f.Slope = 0, align.Slope{}
		for n := range 9 {
			u := toClock(float64(n)*0.7, 98)
			f.Points = append(f.Points, align.Vec3{X: Length(u.x), Y: Length(u.y), Z: z + Length(tilt.dot(u)+0.003*(2*rng.Float64()-1))})
		}
	} else if one(4) { // or by a dial on it
		f := s.Parts[1].Rear
		f.Sweep = &align.Sweep{Radius: 98, Out: one(2)}
		f.Sweep.FromNose, f.Sweep.First = one(2), Angle(6*rng.Float64())
		if one(2) {
			f.Sweep.About = "case/front"
		}
		for range 8 {
			f.Sweep.Values = append(f.Sweep.Values, []Length{Length(0.02 * (2*rng.Float64() - 1))})
		}
		f.Slope = align.Slope{}
	}
	if one(3) {
		s.Parts[3].Front.Pilot.Slope = Given(slope(3e-4))
	}
	if one(4) { // bolts to mark a shim by
		for n := range 5 {
			u := toClock(float64(n)*2*math.Pi/5+0.2, 95)
			s.Joints[1].Bolts = append(s.Joints[1].Bolts, u.vec())
			s.Joints[2].Bolts = append(s.Joints[2].Bolts, u.vec())
		}
	}
	if pinned {
		pinnedPlate(rng, s, turned, turn)
	}
	b.Limits = b.Limits[:1]
	if one(5) {
		warm(&b)
	}
	return b, registers || (turned || turn) && !pinned
}

// pinnedPlate mounts the plate end for end, or at a clock, with its dowels: their holes are where its neighbours' are.
func pinnedPlate(rng *rand.Rand, s *align.Stack, turned, turn bool) {
	plate := &s.Parts[2]
	if turned {
		plate.Turned = true
		for _, f := range []*align.Face{plate.Front, plate.Rear} {
			for i := range f.Dowels {
				f.Dowels[i].Centre.X = -f.Dowels[i].Centre.X
			}
		}
	}
	if !turn {
		return
	}
	w := &fitter{s: *s}
	if err := w.reclock(&order{part: "plate", turn: printed{v: 2 * math.Pi * rng.Float64()}, drilled: true, pins: []string{"peg"}}); err == nil {
		*s = w.s
	}
}

// readPlate takes a plate's readings in other ways.
func readPlate(rng *rand.Rand, p *align.Part) {
	if w := p.Front.Pilot.Sweep; w != nil {
		w.FromNose, w.Out = rng.IntN(2) == 0, rng.IntN(2) == 0
	}
	t := p.Rear.Thickness
	if t == nil {
		return
	}
	t.Uncertainty = Optional[Length]{}
	if rng.IntN(3) == 0 { // one station out of reach, one read twice
		t.Values[rng.IntN(4)] = nil
		t.Values[5] = append(t.Values[5], t.Values[5][0]+0.001)
	}
	if rng.IntN(4) == 0 { // unequal steps
		for k := range t.Values {
			t.At = append(t.At, Angle(2*math.Pi*(float64(k)+0.3*rng.Float64())/float64(len(t.Values))))
		}
		t.First = 0
	}
}

// warm gives the box a state in which it is held against a limit too.
func warm(b *advise.Box) {
	iron := Given(Material{Name: "cast iron", Expansion: 10.5e-6})
	for i := range b.Stack.Parts {
		b.Stack.Parts[i].Material = iron
	}
	for _, c := range b.Stack.Candidates {
		for i := range c.Parts {
			c.Parts[i].Material = iron
		}
	}
	b.Stack.States = []align.State{{Name: "warm", Temperatures: []align.StateTemperature{{Of: "case", Temperature: 60}, {Of: "plate", Temperature: 70}}}}
	b.Limits = append(b.Limits, record.Limit{Limits: AtMost(0.5), Output: align.Output{What: align.TIRSize, Of: "tail/bush", From: "line"}, State: "warm"})
}

// tools are what a shop has: amounts in steps, dials, strips.
func tools(rng *rand.Rand) advise.Shop {
	s := thinShop()
	s.Step = []Length{0.001, 0.005, 0.01}[rng.IntN(3)]
	s.Graduation = []Length{0.001, 0.002, 0.01, 0.0005 * Inch}[rng.IntN(4)]
	if rng.IntN(3) == 0 {
		s.Strips = []Length{0.02, 0.03, 0.05, 0.08, 0.1, 0.15, 0.2, 0.3}
	}
	if rng.IntN(3) == 0 {
		s.Within = 0.005
	}
	return s
}

// searching is a shop that does a kind of work, and some other, and looks for amounts.
func searching(rng *rand.Rand, k advise.Kind, registers bool) advise.Shop {
	s := tools(rng)
	s.Works = nil
	s.ClockStep = 15 * Degree
	s.Pairs = 1
	s.Step = max(s.Step, 0.005)
	for _, kind := range []advise.Kind{k, advise.Kind(1 + rng.IntN(int(advise.Push)))} {
		switch kind {
		case advise.Swap:
			s.Swap = true
		case advise.TurnOver:
			s.Works = append(s.Works, advise.Work{Kind: kind, Place: "plate"})
		case advise.Reclock:
			s.Works = append(s.Works, advise.Work{Kind: kind, Place: "plate", Holes: 3 + rng.IntN(5), Redrill: true})
		case advise.Skim, advise.SkimWedge:
			face := []string{"plate/front", "plate/rear", "case/rear"}[rng.IntN(3)]
			s.Works = append(s.Works, advise.Work{Kind: kind, Place: face, Most: 0.2, Thin: 0.01, Least: Given[Length](13)})
		case advise.Sleeve:
			s.Works = append(s.Works, advise.Work{Kind: kind, Place: []string{"tail/bush", "plate/bearing"}[rng.IntN(2)], Most: 0.1, Across: 2})
		case advise.Bush:
			s.Works = append(s.Works, advise.Work{Kind: kind, Place: []string{"tail/bush", "plate/bearing"}[rng.IntN(2)], Sizes: []Length{0.01, 0.02, 0.05}})
		case advise.Shim:
			s.Works = append(s.Works, advise.Work{Kind: kind, Place: "three", Sizes: []Length{0.1, 0.2}, Replace: rng.IntN(2) == 0})
		case advise.TaperShim:
			s.Works = append(s.Works, advise.Work{Kind: kind, Place: []string{"two", "three"}[rng.IntN(2)], Thin: 0.1, Most: 0.15})
		case advise.OffsetDowels:
			s.Works = append(s.Works, advise.Work{Kind: kind, Place: "one", Sizes: []Length{0.007 * Inch, 0.0005 * Inch, 0.01, 0.02}})
		case advise.Redowel:
			joint := "one"
			if !registers {
				joint = []string{"one", "two", "three"}[rng.IntN(3)]
			}
			s.Works = append(s.Works, advise.Work{Kind: kind, Place: joint, Most: 0.1, Across: Length(rng.IntN(2)) * 13})
		case advise.Push:
			s.Push = true
		}
	}
	return s
}

// randomOrders draws a correction of a kind, and often another that may go with it, with amounts that fall between all digits.
func randomOrders(rng *rand.Rand, k advise.Kind, registers bool) []advise.Correction {
	c := randomCorrection(rng, k)
	if k == advise.Redowel || k == advise.OffsetDowels {
		if c.Place = "one"; !registers && rng.IntN(3) > 0 {
			c.Place = []string{"two", "three", "three"}[rng.IntN(3)]
			c.By = Length(0.01 * rng.Float64()) // a register lets it go no farther
			if k == advise.OffsetDowels {
				c.By = 0.01 + 3*c.By
			}
		}
	}
	list := []advise.Correction{c}
	if rng.IntN(2) == 0 {
		second := randomCorrection(rng, []advise.Kind{advise.Reclock, advise.TurnOver, advise.SkimWedge, advise.Sleeve, advise.Bush, advise.Shim, advise.TaperShim, advise.OffsetDowels}[rng.IntN(8)])
		if goWith(c, second, registers) {
			list = append(list, second)
		}
	}
	return list
}

// goWith reports whether two corrections are a sensible pair: not two of one thing, and no holes drilled twice.
func goWith(c, d advise.Correction, registers bool) bool {
	whole := func(k advise.Kind) bool { return k == advise.Reclock || k == advise.TurnOver || k == advise.Swap }
	return c.Kind != d.Kind && c.Place != d.Place && !(whole(c.Kind) && whole(d.Kind)) && !(d.Kind == advise.TurnOver && !registers)
}
